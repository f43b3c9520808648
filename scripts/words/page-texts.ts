import { isNode, isScalar, LineCounter, parseDocument, visit } from 'yaml';
import { type Text, VALUE } from './text.js';

/** Code, links and pictures as a reader hears them. */
const spoken = (markdown: string): string =>
  markdown
    .replace(/`[^`]+`/g, VALUE)
    .replace(/!?\[([^\]]*)\]\([^)]*\)/g, '$1')
    .replace(/\*\*|(?<!\w)[*_](?=\w)|(?<=\w)[*_](?!\w)/g, '');

/** What begins a text of its own: a heading, an item of a list, a row of a table. */
const BEGINS = /^\s*(#+ |[-*] |\d+\. |\|)/;

/**
 * The texts of a Markdown page: paragraphs, headings, items of lists, cells of tables. Fenced and indented code and
 * comments are none.
 */
export function markdownTexts(file: string, source: string): Text[] {
  const texts: { file: string; line: number; text: string }[] = [];
  const prose = source.replace(/<!--[\s\S]*?-->|^( *)```[\s\S]*?^\1```|^( {4}(?![-*\d]).*\n)+/gm, (code) =>
    code.replace(/[^\n]/g, ''),
  );
  let begun = false;
  for (const [i, line] of prose.split('\n').entries()) {
    if (/^\s*\|/.test(line)) {
      const cells = line.split(/(?<!\\)\|/).filter((cell) => /\p{L}/u.test(cell));
      texts.push(...cells.map((cell) => ({ file, line: i + 1, text: spoken(cell.trim()) })));
    } else if (begun && line.trim() !== '' && !BEGINS.test(line)) texts.at(-1)!.text += `\n${line}`;
    else if (line.trim() !== '') texts.push({ file, line: i + 1, text: line.replace(BEGINS, '') });
    begun = line.trim() !== '' && !/^\s*[|#]/.test(line);
  }
  return texts.map((text) => ({ ...text, text: spoken(text.text) }));
}

/** The texts of a YAML file: its comments, and every value of more than one word. */
export function yamlTexts(file: string, source: string): Text[] {
  const lines = new LineCounter();
  const document = parseDocument(source, { lineCounter: lines });
  const texts: Text[] = [];
  const add = (text: unknown, line: number) => {
    if (typeof text === 'string' && /\p{L}\S*\s+\S*\p{L}/u.test(text)) texts.push({ file, line, text });
  };
  add(document.commentBefore, 1);
  visit(document, (_, node) => {
    if (!isNode(node)) return;
    const { line } = lines.linePos(node.range?.[0] ?? 0);
    add(node.commentBefore, line);
    add(node.comment, line);
    if (isScalar(node)) add(node.value, line);
  });
  return texts;
}

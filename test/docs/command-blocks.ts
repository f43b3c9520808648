import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';

/** The folder of the project. */
export const PROJECT = fileURLToPath(new URL('../../', import.meta.url));

/**
 * What a page asks of whoever tries its commands: a comment `<!-- commands: ... -->` on the line before a block,
 * of parts divided by semicolons.
 */
export interface BlockNote {
  /** `my-bench.yaml is benches/ideal-40.yaml`: what stands in for a file that only the reader has. */
  readonly standIns: readonly { readonly file: string; readonly from: string }[];
  /** `answered yes`: a name, and yes to every question. */
  readonly answered: boolean;
  /** `until stopped`: it serves pages until Ctrl-C. */
  readonly untilStopped: boolean;
  /** `only looked up: REASON`: command and options must exist, and no more. */
  readonly onlyLookedUp: string | null;
}

/** A fenced block of commands in a page. */
export interface CommandBlock {
  readonly page: string;
  readonly line: number;
  readonly note: BlockNote;
  readonly commands: readonly string[];
  /** What the page says that they print: paragraphs indented by four spaces, up to the next block. */
  readonly quotes: readonly string[];
}

/** Reads the note before a block. @throws Error for a part that means nothing, so that a misspelt one is noticed */
export function blockNote(text: string): BlockNote {
  const parts = text
    .split(';')
    .map((part) => part.trim())
    .filter((part) => part !== '');
  const standIns: { file: string; from: string }[] = [];
  let [answered, untilStopped, onlyLookedUp]: [boolean, boolean, string | null] = [false, false, null];
  for (const part of parts) {
    const standIn = /^(\S+) is (\S+)$/.exec(part);
    if (standIn) standIns.push({ file: standIn[1]!, from: standIn[2]! });
    else if (part === 'answered yes') answered = true;
    else if (part === 'until stopped') untilStopped = true;
    else if (part.startsWith('only looked up: ')) onlyLookedUp = part.slice('only looked up: '.length);
    else throw new Error(`a note on commands has a part that means nothing: "${part}"`);
  }
  return { standIns, answered, untilStopped, onlyLookedUp };
}

/** The blocks fenced by ```sh of a page that is named relative to the project, in order. */
export function commandBlocks(page: string): CommandBlock[] {
  const text = readFileSync(`${PROJECT}${page}`, 'utf8');
  const fenced = /(?:^ *<!-- commands: (.*?) -->\n)?^( *)```sh\n([\s\S]*?)^ *```$/gm;
  return [...text.matchAll(fenced)].map((match) => ({
    page,
    line: text.slice(0, match.index).split('\n').length,
    note: blockNote(match[1] ?? ''),
    commands: commandLines(match[3]!),
    quotes: quotesIn(text.slice(match.index + match[0].length).split(/^ *```sh$/m)[0]!),
  }));
}

/** The paragraphs of a text that are indented by four spaces, without the indent. */
const quotesIn = (text: string): string[] =>
  [...text.matchAll(/(?:^ {4}.*\n)+/gm)].map(([quote]) => quote.replace(/^ {4}/gm, '').trimEnd());

/** One entry a command: a line that ends in a backslash goes on in the next. */
function commandLines(block: string): string[] {
  return block
    .replace(/\\\n\s*/g, ' ')
    .split('\n')
    .map((line) => line.trim())
    .filter((line) => line !== '' && !line.startsWith('#'));
}

/** A command of ohmest and the options that a text gives it. */
export interface Mention {
  readonly command: string;
  readonly options: readonly string[];
}

/** The commands of ohmest that a text names with at least the command's own name. */
export function mentions(text: string): Mention[] {
  return [...text.matchAll(/(?<![\w./-])ohmest ([a-z]+)((?:"[^"\n]*"|'[^'\n]*'|[^`\n#&|])*)/g)].map(
    ([, command, rest]) => ({
      command: command!,
      options: rest!
        .replace(/"[^"]*"|'[^']*'/g, '')
        .split(/\s+/)
        .filter((word) => /^--?[a-z]/.test(word))
        .map((word) => word.replace(/[^\w-].*$/, '')),
    }),
  );
}

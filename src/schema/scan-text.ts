import { CST, Lexer, type LineCounter } from 'yaml';
import type { Fault } from './document-error.js';

/** Far above any honest file; a longer one is refused before it is looked at. */
export const MOST_CHARACTERS = 256 * 1024;

/**
 * Most words, numbers, signs and spaces between them. A record of 2000 points, the most there may be, has some 40 000; a file of
 * nothing but signs could hold six times as many, and take a second to be found wrong in every one.
 */
export const MOST_TOKENS = 60_000;

/** Deepest nesting. The readers behind this scan recurse, this scan does not. */
export const DEEPEST = 64;

/** What YAML offers beyond plain data; each is refused where it stands. */
const REFUSED: Readonly<Record<string, { what: string; mend: string }>> = {
  alias: { what: 'references (*name) are not allowed', mend: 'write the value out' },
  anchor: { what: 'anchors (&name) are not allowed', mend: 'write the value out where it is needed' },
  tag: { what: 'tags (!name) are not allowed', mend: 'write the plain value' },
  'directive-line': { what: 'directives (%NAME) are not allowed', mend: 'leave the line out' },
};

/** The fault of a file that is too long to be looked at. */
export function tooLong(): Fault {
  const what = `the file is longer than ${MOST_CHARACTERS / 1024} KiB`;
  return { line: 1, column: 1, path: '', what, mend: 'such files are a few pages long' };
}

const TOO_MANY = {
  what: `the file has more than ${MOST_TOKENS / 1000} thousand words and signs`,
  mend: 'such files have a few hundred',
};

/** What may stand before a document without being part of one. */
const BEFORE_CONTENT: ReadonlySet<string | null> = new Set([
  'byte-order-mark',
  'comment',
  'directive-line',
  'newline',
  'space',
]);

/** Where in the text a fault lies. */
export type At = (offset: number, what: string, mend: string) => Fault;

const position =
  (lines: LineCounter): At =>
  (offset, what, mend) => {
    const { line, col } = lines.linePos(offset);
    return { line: Math.max(1, line), column: Math.max(1, col), path: '', what, mend };
  };

function badCharacters(text: string, at: At): Fault[] {
  // biome-ignore lint/suspicious/noControlCharactersInRegex: control characters are what is looked for
  const bad = /[\u0000-\u0008\u000b\u000c\u000e-\u001f\u007f\ufffd]|\r(?!\n)/.exec(text);
  if (!bad) return [];
  const words: Readonly<Record<string, string>> = {
    '\ufffd': 'a byte that is not UTF-8 text',
    '\r': 'a line that ends in a bare carriage return',
  };
  const what = words[bad[0]] ?? `a control character (code ${bad[0].charCodeAt(0)}) in the text`;
  return [at(bad.index, what, 'save the file as plain UTF-8 text')];
}

/** Follows nesting token by token: flow brackets exactly, block levels by their indentation. */
class DepthGauge {
  #flow = 0;
  #blocks: number[] = [];
  #lineStart = 0;
  #fresh = true;

  /** Takes the next token, whose text begins at `offset`; returns the depth it lies at. */
  take(type: string | null, token: string, offset: number): number {
    if (type === 'flow-seq-start' || type === 'flow-map-start') this.#flow += 1;
    else if (type === 'flow-seq-end' || type === 'flow-map-end') this.#flow = Math.max(0, this.#flow - 1);
    if (this.#flow === 0 && type !== 'newline' && type !== 'space' && type !== 'comment')
      this.#block(type, offset - this.#lineStart);
    const lineEnd = token.lastIndexOf('\n');
    if (lineEnd >= 0) {
      this.#lineStart = offset + lineEnd + 1;
      this.#fresh = true;
    }
    return this.#flow + this.#blocks.length;
  }

  #block(type: string | null, column: number): void {
    const opens = type === 'seq-item-ind' || type === 'explicit-key-ind' || type === 'map-value-ind';
    if (this.#fresh) {
      while (this.#blocks.length > 0 && this.#blocks.at(-1)! >= column) this.#blocks.pop();
      this.#blocks.push(column);
      this.#fresh = false;
    } else if (opens) this.#blocks.push(column);
  }
}

/**
 * Looks over YAML text without building anything from it: size, characters, nesting, and the parts of
 * YAML that a data file does not need and a hostile one abuses. Linear in the text, never recursive.
 *
 * @param lines is filled with the line starts of `text`.
 * @returns the faults found; empty when the text is safe to parse.
 */
export function scanText(text: string, lines: LineCounter): Fault[] {
  lines.addNewLine(0);
  const at = position(lines);
  if (text.length > MOST_CHARACTERS) return [tooLong()];
  for (let end = text.indexOf('\n'); end >= 0; end = text.indexOf('\n', end + 1)) lines.addNewLine(end + 1);
  const bad = badCharacters(text, at);
  return bad.length > 0 ? bad : scanTokens(text, at);
}

function scanTokens(text: string, at: At): Fault[] {
  const faults: Fault[] = [];
  const gauge = new DepthGauge();
  let offset = 0;
  let begun = false;
  let scalar = false;
  let count = 0;
  for (const token of new Lexer().lex(text)) {
    // The lexer announces documents, scalars and broken flows with tokens that are not in the text.
    if (token === CST.DOCUMENT || token === CST.FLOW_END || token === CST.SCALAR) {
      scalar = token === CST.SCALAR;
      continue;
    }
    if (++count > MOST_TOKENS) return [...faults, at(offset, TOO_MANY.what, TOO_MANY.mend)];
    const type = scalar ? 'scalar' : CST.tokenType(token);
    scalar = false;
    const refused = type ? REFUSED[type] : undefined;
    if (refused) faults.push(at(offset, refused.what, refused.mend));
    if (type === 'doc-start' && begun)
      faults.push(at(offset, 'a second document begins here', 'put one document in a file'));
    begun ||= !BEFORE_CONTENT.has(type);
    if (gauge.take(type, token, offset) > DEEPEST)
      return [
        ...faults,
        at(offset, `nested more than ${DEEPEST} levels deep`, 'such files need four or five'),
      ];
    offset += token.length;
  }
  return faults;
}

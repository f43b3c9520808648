import fc from 'fast-check';
import { HOSTILE_PIECES } from './hostile-values.js';

/** One change of a text. */
type TextEdit = (text: string) => string;

const share = fc.double({ min: 0, max: 1, noNaN: true, maxExcluded: true });
const piece = fc.constantFrom(...HOSTILE_PIECES);

const atAny = (text: string, where: number) => Math.floor(where * (text.length + 1));

function onLine(text: string, where: number, change: (line: string) => readonly string[]): string {
  const lines = text.split('\n');
  const at = Math.floor(where * lines.length);
  lines.splice(at, 1, ...change(lines[at]!));
  return lines.join('\n');
}

/** Some characters go, a piece comes. */
const replaced: fc.Arbitrary<TextEdit> = fc
  .tuple(share, fc.nat(12), piece)
  .map(([where, length, put]) => (text) => {
    const at = atAny(text, where);
    return text.slice(0, at) + put + text.slice(at + length);
  });

const cut: fc.Arbitrary<TextEdit> = share.map((where) => (text) => text.slice(0, atAny(text, where)));

const lineDropped: fc.Arbitrary<TextEdit> = share.map((where) => (text) => onLine(text, where, () => []));

const lineRepeated: fc.Arbitrary<TextEdit> = fc
  .tuple(
    share,
    fc.oneof(
      { weight: 9, arbitrary: fc.integer({ min: 2, max: 4 }) },
      { weight: 1, arbitrary: fc.integer({ min: 5, max: 40 }) },
    ),
  )
  .map(
    ([where, times]) =>
      (text) =>
        onLine(text, where, (line) => Array<string>(times).fill(line)),
  );

const lineIndented: fc.Arbitrary<TextEdit> = fc
  .tuple(share, fc.constantFrom(' ', '  ', '\t', '        ', '- '))
  .map(
    ([where, indent]) =>
      (text) =>
        onLine(text, where, (line) => [indent + line]),
  );

const lineOutdented: fc.Arbitrary<TextEdit> = share.map(
  (where) => (text) => onLine(text, where, (line) => [line.trimStart()]),
);

/** The unit goes, and the number stays. */
const unitDropped: fc.Arbitrary<TextEdit> = share.map(
  (where) => (text) =>
    onLine(text, where, (line) => [line.replace(/(\d)\s*[A-Za-z%Ω]+(?=$|[,\]} ])/u, '$1')]),
);

const valueReplaced: fc.Arbitrary<TextEdit> = fc.tuple(share, piece).map(
  ([where, put]) =>
    (text) =>
      onLine(text, where, (line) => [line.replace(/:.*$/s, `: ${put}`)]),
);

/** A stretch from one place comes again at another. */
const moved: fc.Arbitrary<TextEdit> = fc
  .tuple(share, fc.nat(200), share)
  .map(([from, length, to]) => (text) => {
    const stretch = text.slice(atAny(text, from), atAny(text, from) + length);
    const at = atAny(text, to);
    return text.slice(0, at) + stretch + text.slice(at);
  });

const allLines: fc.Arbitrary<TextEdit> = fc.constantFrom<TextEdit[]>(
  (text) => text.replaceAll('\n', '\r\n'),
  (text) => text.replaceAll('\n', '\r'),
  (text) => `\ufeff${text}`,
  (text) => `\ufeff\ufeff${text}`,
  (text) => text.replaceAll('  ', '\t'),
  (text) => text.replaceAll(' ', '\u00a0'),
  (text) => `${text}\n...\n`,
  (text) => `---\n${text}`,
  (text) => text + text,
  (text) => text.toUpperCase(),
  (text) => [...text].reverse().join(''),
);

const edit = fc.oneof(
  { weight: 6, arbitrary: replaced },
  { weight: 1, arbitrary: cut },
  { weight: 3, arbitrary: lineDropped },
  { weight: 2, arbitrary: lineRepeated },
  { weight: 2, arbitrary: lineIndented },
  { weight: 2, arbitrary: lineOutdented },
  { weight: 2, arbitrary: unitDropped },
  { weight: 4, arbitrary: valueReplaced },
  { weight: 2, arbitrary: moved },
  { weight: 1, arbitrary: allLines },
);

/** One to five changes made by hand, by a bad editor, or by a bad person. */
export const textChanges: fc.Arbitrary<TextEdit> = fc
  .array(edit, { minLength: 1, maxLength: 5 })
  .map((edits) => (text) => edits.reduce((now, change) => change(now), text));

/** One of these texts, changed. */
export function editedTexts(texts: readonly string[]): fc.Arbitrary<string> {
  return fc.tuple(fc.constantFrom(...texts), textChanges).map(([text, change]) => change(text));
}

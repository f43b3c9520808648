/**
 * What acts on a terminal, a page or a reader's eye instead of being read: control characters of both sets (terminal escapes among
 * them), broken surrogates, line separators, the marks that turn the direction of text, and whatever is invisible
 * (Unicode Standard Annex 44: Default_Ignorable_Code_Point). Line end and tab are the text's own; signs of emphasis and of form
 * belong to the letter before them.
 */
const HIDDEN =
  /(?!\r\n|[\n\t\p{VS}\u0600-\u0605\u06dd\u070f\u0890\u0891\u08e2])[\p{Cc}\p{Cs}\p{Cf}\p{Zl}\p{Zp}\p{DI}]/gu;

/** Some scripts, and pictures made of several, are not written right without joiners: there they are no disguise. */
const JOINED = /[\p{M}\p{Extended_Pictographic}\p{EMod}]|(?![\p{sc=Latn}\p{sc=Grek}\p{sc=Cyrl}])\p{L}/u;
const isJoiner = (character: string): boolean => character === '\u200c' || character === '\u200d';

/**
 * Text with everything in it that is not read but acts, shown as an escape: `\u001b`. In JSON text the escapes stand for the
 * characters themselves, so that the same function serves for both, and JSON loses nothing.
 */
export function visibleText(text: string): string {
  return text.replace(HIDDEN, (found, at: number) => {
    if (isJoiner(found)) {
      const before = [...text.slice(Math.max(0, at - 2), at)].at(-1) ?? '';
      const after = [...text.slice(at + 1, at + 3)][0] ?? '';
      if (JOINED.test(before) && JOINED.test(after)) return found;
    }
    return escaped(found);
  });
}

/** The same for a name or a path, which has no line ends or tabs of its own: a new line in it could pass for one of ours. */
export const visibleName = (text: string): string => visibleText(text).replace(/[\r\n\t]/g, escaped);

const escaped = (character: string): string =>
  Array.from(
    { length: character.length },
    (_, i) => `\\u${character.charCodeAt(i).toString(16).padStart(4, '0')}`,
  ).join('');

/** The same on one line, cut to at most `most` characters, the last of them then being an ellipsis. */
export function oneLine(text: string, most: number): string {
  const line = visibleText(text).replace(/\s+/g, ' ').trim();
  const characters = [...line];
  return characters.length <= most
    ? line
    : `${characters
        .slice(0, most - 1)
        .join('')
        .trimEnd()}…`;
}

/**
 * Control characters (terminal escapes among them), broken surrogates, and the marks that turn the direction
 * of all text after them.
 */
const HIDDEN = /(?![\n\t])[\p{Cc}\p{Cs}\u200e\u200f\u061c\u202a-\u202e\u2066-\u2069]/gu;

/** Text with everything that could act on a terminal or a page, rather than be read, shown as `\ufffd`. */
export const visibleText = (text: string): string => text.replace(HIDDEN, '\ufffd');

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

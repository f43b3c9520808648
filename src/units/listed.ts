/** `1`, `1 and 2`, `1, 2 and 3`. Nothing gives an empty text. */
export const listed = (parts: readonly (string | number)[]): string =>
  parts.length < 2 ? parts.join('') : `${parts.slice(0, -1).join(', ')} and ${parts.at(-1)}`;

/** `20 Hz to 20 kHz`: the lowest and the highest of values in words, or one where these are alike. */
export function spanned(values: readonly number[], words: (value: number) => string): string {
  const [from, to] = [Math.min(...values), Math.max(...values)].map(words);
  return from === to ? from! : `${from} to ${to}`;
}

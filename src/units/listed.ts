/** `1`, `1 and 2`, `1, 2 and 3`. Nothing gives an empty text. */
export const listed = (parts: readonly (string | number)[]): string =>
  parts.length < 2 ? parts.join('') : `${parts.slice(0, -1).join(', ')} and ${parts.at(-1)}`;

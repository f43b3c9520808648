export const NO_BREAK = '\u00a0';

/** The space between a number and its unit, where no line may end. */
export const QUANTITY_GAP = /(?<=\d) (?=(?:[mkMuµ]?(?:W|V|Hz|ohm|Ω|A|H|F|s)|%|dB)(?![a-zA-Z]))/g;

/**
 * Breaks text between words, but not inside a quantity, so that no line is longer than `width` unless one
 * word is; later lines begin with `indent`.
 */
export function wrapText(text: string, width: number, indent = ''): string {
  const lines: string[] = [];
  for (const word of text
    .replace(QUANTITY_GAP, NO_BREAK)
    .replace(/± (?=\d)/g, `±${NO_BREAK}`)
    .split(' ')) {
    const line = lines.at(-1);
    if (line === undefined) lines.push(word);
    else if (line.length + 1 + word.length <= width) lines[lines.length - 1] = `${line} ${word}`;
    else lines.push(indent + word);
  }
  return lines.join('\n').replaceAll(NO_BREAK, ' ');
}

/** Breaks text between words so that no line is longer than `width` unless one word is; later lines begin with `indent`. */
export function wrapText(text: string, width: number, indent = ''): string {
  const lines: string[] = [];
  for (const word of text.split(' ')) {
    const line = lines.at(-1);
    if (line === undefined) lines.push(word);
    else if (line.length + 1 + word.length <= width) lines[lines.length - 1] = `${line} ${word}`;
    else lines.push(indent + word);
  }
  return lines.join('\n');
}

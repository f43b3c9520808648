/** A reader of CSV by the rules of RFC 4180, apart from the writer under test. */
export function parse(text: string): Record<string, string>[] {
  const rows: string[][] = [[]];
  const cell = /("(?:[^"]|"")*"|[^",\r\n]*)(,|\r\n|$)/gy;
  while (cell.lastIndex < text.length) {
    const found = cell.exec(text);
    if (!found) throw new Error(`no CSV at ${cell.lastIndex}`);
    rows.at(-1)!.push(found[1]!.startsWith('"') ? found[1]!.slice(1, -1).replaceAll('""', '"') : found[1]!);
    if (found[2] === '\r\n' && cell.lastIndex < text.length) rows.push([]);
  }
  const [head, ...body] = rows;
  return body.map((row) => Object.fromEntries(head!.map((name, i) => [name, row[i]!])));
}

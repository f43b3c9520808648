/**
 * JSON as `toJson` writes it, with the keys of every object in alphabetical order: equal content gives equal text, wherever
 * it comes from. For plain data that is no deeper than a run.
 */
export function canonicalJson(value: unknown): string {
  if (typeof value === 'number') return Number.isFinite(value) ? String(value) : `{"number":"${value}"}`;
  if (Array.isArray(value)) return `[${value.map(canonicalJson).join(',')}]`;
  if (typeof value !== 'object' || value === null) return JSON.stringify(value) ?? 'null';
  return `{${fieldsOf(value)
    .map(([key, part]) => `${JSON.stringify(key)}:${canonicalJson(part)}`)
    .join(',')}}`;
}

/**
 * The same text in pieces, the parts of the outermost lists and objects one by one: the whole of a long run need not lie
 * in memory to be hashed.
 */
export function writeCanonicalJson(value: unknown, write: (piece: string) => void, levels = 2): void {
  if (levels === 0 || typeof value !== 'object' || value === null) {
    write(canonicalJson(value));
  } else if (Array.isArray(value)) {
    write('[');
    for (const [i, part] of value.entries()) {
      if (i > 0) write(',');
      writeCanonicalJson(part, write, levels - 1);
    }
    write(']');
  } else {
    write('{');
    for (const [i, [key, part]] of fieldsOf(value).entries()) {
      write(`${i > 0 ? ',' : ''}${JSON.stringify(key)}:`);
      writeCanonicalJson(part, write, levels - 1);
    }
    write('}');
  }
}

function fieldsOf(value: object): [key: string, part: unknown][] {
  const fields = Object.entries(value).filter(([, part]) => part !== undefined);
  return fields.sort(([a], [b]) => (a < b ? -1 : 1));
}

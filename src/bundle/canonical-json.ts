/** A number as `toJson` writes it: those that JSON has no sign for by their names. */
export const figureText = (value: number): string =>
  Number.isFinite(value) ? String(value) : `{"number":"${value}"}`;

/**
 * JSON as `toJson` writes it, with the keys of every object in alphabetical order: equal content gives equal text, wherever
 * it comes from. For plain data that is no deeper than a run.
 */
export function canonicalJson(value: unknown, figure = figureText): string {
  if (typeof value === 'number') return figure(value);
  if (Array.isArray(value)) return `[${value.map((part) => canonicalJson(part, figure)).join(',')}]`;
  if (typeof value !== 'object' || value === null) return JSON.stringify(value) ?? 'null';
  let fields = '';
  for (const key of Object.keys(value).sort()) {
    const part = (value as Record<string, unknown>)[key];
    if (part !== undefined)
      fields += `${fields === '' ? '' : ','}${JSON.stringify(key)}:${canonicalJson(part, figure)}`;
  }
  return `{${fields}}`;
}

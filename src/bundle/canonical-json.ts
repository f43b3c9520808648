/**
 * JSON as `toJson` writes it, with the keys of every object in alphabetical order: equal content gives equal text, wherever
 * it comes from. For plain data that is no deeper than a run.
 */
export function canonicalJson(value: unknown): string {
  if (typeof value === 'number') return Number.isFinite(value) ? String(value) : `{"number":"${value}"}`;
  if (Array.isArray(value)) return `[${value.map(canonicalJson).join(',')}]`;
  if (typeof value !== 'object' || value === null) return JSON.stringify(value) ?? 'null';
  let fields = '';
  for (const key of Object.keys(value).sort()) {
    const part = (value as Record<string, unknown>)[key];
    if (part !== undefined)
      fields += `${fields === '' ? '' : ','}${JSON.stringify(key)}:${canonicalJson(part)}`;
  }
  return `{${fields}}`;
}

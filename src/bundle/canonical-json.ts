import { toJson } from '../record/exact-json.js';

/** `toJson` with the keys of every object in alphabetical order: equal content gives equal text, wherever it comes from. */
export function canonicalJson(value: unknown): string {
  return JSON.stringify(JSON.parse(toJson(value)), (_, part: unknown) =>
    typeof part === 'object' && part !== null && !Array.isArray(part)
      ? Object.fromEntries(Object.entries(part).sort(([a], [b]) => (a < b ? -1 : 1)))
      : part,
  );
}

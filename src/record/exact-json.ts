const BEYOND_JSON: Readonly<Record<string, number>> = {
  NaN: Number.NaN,
  Infinity: Number.POSITIVE_INFINITY,
  '-Infinity': Number.NEGATIVE_INFINITY,
};

/** JSON that keeps the numbers JSON has no sign for: NaN becomes `{"number": "NaN"}`, likewise the infinities. */
export function toJson(value: unknown): string {
  return JSON.stringify(value, (_, part: unknown) =>
    typeof part === 'number' && !Number.isFinite(part) ? { number: String(part) } : part,
  );
}

/** The inverse of `toJson`. Throws a SyntaxError on text that is not JSON. */
export function fromJson(text: string): unknown {
  return JSON.parse(text, (_, part: unknown) => {
    if (typeof part !== 'object' || part === null || !('number' in part)) return part;
    const sign = String(part.number);
    // Not every word is ours: 'constructor' is one that any object answers to.
    return Object.hasOwn(BEYOND_JSON, sign) ? BEYOND_JSON[sign] : part;
  });
}

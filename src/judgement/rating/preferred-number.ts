/** R20 between 1 and 10 (ISO 3; the numbers from memory). */
const R20 = [
  ...[1, 1.12, 1.25, 1.4, 1.6, 1.8, 2, 2.24, 2.5, 2.8],
  ...[3.15, 3.55, 4, 4.5, 5, 5.6, 6.3, 7.1, 8, 9],
] as const;

/** The highest preferred number of the series R20 that is not above a value; null for values that are not above 0. */
export function preferredBelow(value: number): number | null {
  if (!(value > 0) || !Number.isFinite(value)) return null;
  const exponent = Math.floor(Math.log10(value));
  const candidates = [exponent - 1, exponent, exponent + 1].flatMap((power) =>
    R20.map((mantissa) => Number(`${mantissa}e${power}`)),
  );
  return candidates.filter((candidate) => candidate <= value).at(-1) ?? null;
}

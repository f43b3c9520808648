/** Parts per million by which a found frequency differs from the expected one. */
export function clockMismatch_ppm(found: number, expected: number): number {
  return (found / expected - 1) * 1e6;
}

/** Parts per million by which a found frequency differs from the expected one. */
export function clockMismatch_ppm(found: number, expected: number): number {
  return (found / expected - 1) * 1e6;
}

/** Differences below this need no second clock: hum beside a bass tone pulls its frequency as far. */
const LEAST_PPM = 0.5;

/** Whether a difference is large enough to speak of two clocks. */
export function clocksDiffer(mismatch_ppm: number): boolean {
  return Math.abs(mismatch_ppm) >= LEAST_PPM;
}

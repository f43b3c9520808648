/**
 * Arithmetic on whole groups of four samples. The compiler looks up each array anew, its kind, length and place, in every
 * round of a loop; four samples a round share that. Loops begin at `at | 0`: an index that begins as whatever a caller may hand
 * in is a fractional number to the compiler, which then converts and checks it at each sample.
 */

/** Writes a - b into `to`, from `at` on. */
export function subtract(
  a: Float64Array,
  b: Float64Array,
  to: Float64Array,
  at: number,
  samples: number,
): void {
  const start = at | 0;
  for (let i = 0; i < samples; i += 4) {
    const out = start + i;
    to[out] = a[i]! - b[i]!;
    to[out + 1] = a[i + 1]! - b[i + 1]!;
    to[out + 2] = a[i + 2]! - b[i + 2]!;
    to[out + 3] = a[i + 3]! - b[i + 3]!;
  }
}

/**
 * Fraction of a cycle, 0 <= c < 1, that a tone of `cyclesPerSample` has reached at sample `n`.
 *
 * `cyclesPerSample * n` rounds by up to 1e-10 cycles in long records. The upper 24 bits of the
 * frequency times an integer below 2^29 are exact, so the whole cycles drop out before they cost digits.
 */
export function cyclesAt(cyclesPerSample: number, n: number): number {
  const coarse = Math.fround(cyclesPerSample);
  const cycles = ((coarse * n) % 1) + (cyclesPerSample - coarse) * n;
  return cycles - Math.floor(cycles);
}

/**
 * The looks of a climb's rise: the first ones, as long as each lies above the one before. What comes later refines it.
 *
 * @param taken in the order in which they were taken
 * @param levelOf any measure of level
 */
export function riseOf<T>(taken: readonly T[], levelOf: (look: T) => number): T[] {
  const end = taken.findIndex((look, i) => i > 0 && levelOf(look) <= levelOf(taken[i - 1]!));
  return taken.slice(0, end < 0 ? taken.length : end);
}

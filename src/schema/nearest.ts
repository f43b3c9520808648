/** Edits (insert, delete, replace, swap neighbours) that turn one word into another (optimal string alignment). */
function distance(a: string, b: string): number {
  const rows = Array.from({ length: a.length + 1 }, (_, i) => [i, ...Array<number>(b.length).fill(0)]);
  for (let j = 1; j <= b.length; j++) rows[0]![j] = j;
  for (let i = 1; i <= a.length; i++) {
    for (let j = 1; j <= b.length; j++) {
      const same = a[i - 1] === b[j - 1];
      let best = Math.min(rows[i - 1]![j]! + 1, rows[i]![j - 1]! + 1, rows[i - 1]![j - 1]! + (same ? 0 : 1));
      const swapped = i > 1 && j > 1 && a[i - 1] === b[j - 2] && a[i - 2] === b[j - 1];
      if (swapped) best = Math.min(best, rows[i - 2]![j - 2]! + 1);
      rows[i]![j] = best;
    }
  }
  return rows[a.length]![b.length]!;
}

/** The known word that a misspelt one is closest to; null when none is close. */
export function nearest(word: string, known: readonly string[]): string | null {
  if (word.length > 64) return null;
  const allowed = Math.max(1, Math.floor(word.length / 3));
  const ranked = known
    .map((candidate) => ({ candidate, edits: distance(word.toLowerCase(), candidate.toLowerCase()) }))
    .sort((a, b) => a.edits - b.edits);
  const best = ranked[0];
  return best && best.edits <= allowed ? best.candidate : null;
}

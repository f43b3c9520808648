import { SAME_POWER } from '../bounds/conflict.js';
import { type Evidence, isFound, placeOf } from '../bounds/evidence.js';

/** Below this share of the most that the channel kept elsewhere, a level that was merely kept rates nothing. */
export const TOO_LOW = 0.5;

/** The pieces that say how much power is kept, without those that were never driven to speak of. */
export function worthRating(evidence: readonly Evidence[]): Evidence[] {
  const kept = evidence.filter(({ kept_W }) => kept_W !== null);
  const most = new Map<number, number>();
  for (const { channel, kept_W } of kept)
    most.set(channel, Math.max(kept_W!, most.get(channel) ?? Number.NEGATIVE_INFINITY));
  return kept.filter((piece) => isFound(piece) || piece.delivered_W >= TOO_LOW * most.get(piece.channel)!);
}

/** Where another step exceeded the limit at a little less power than was found, that is the most that is kept. */
export function lowered(piece: Evidence, evidence: readonly Evidence[]): Evidence {
  const floor_W = piece.kept_W! * (1 - (piece.share ?? 0));
  const exceeded = evidence
    .filter((other) => other.step !== piece.step && placeOf(other) === placeOf(piece))
    .flatMap(({ passing }) => passing)
    .filter(({ power_W }) => power_W < floor_W && power_W >= piece.kept_W! * (1 - 2 * SAME_POWER));
  if (exceeded.length === 0) return piece;
  const { power_W, point } = exceeded.reduce((a, b) => (b.power_W < a.power_W ? b : a));
  return { ...piece, least_W: null, most_W: power_W, kept_W: power_W, points: [...piece.points, point] };
}

/** One piece for each channel and frequency: a power found before one that is only a bound, then the lowest found, or the highest bound. */
export function bestPieces(kept: readonly Evidence[]): Evidence[] {
  const best = new Map<string, Evidence>();
  for (const piece of kept) {
    const before = best.get(placeOf(piece));
    if (!before || better(piece, before)) best.set(placeOf(piece), piece);
  }
  return [...best.values()];
}

function better(piece: Evidence, before: Evidence): boolean {
  if (isFound(piece) !== isFound(before)) return isFound(piece);
  return isFound(piece) ? piece.kept_W! < before.kept_W! : piece.kept_W! > before.kept_W!;
}

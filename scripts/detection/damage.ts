/** What can go wrong between converter and file. */
export type Damage =
  | { readonly kind: 'dropped' | 'doubled'; readonly at: number; readonly frames: number }
  /** The level is another for a while, or, with no end, from there on. */
  | { readonly kind: 'level'; readonly at: number; readonly frames: number; readonly step_dB: number }
  /** A pulse of one or a few samples, its height relative to the tone's peak. */
  | { readonly kind: 'click'; readonly at: number; readonly frames: number; readonly height: number };

/** The longest stretch that is ever lost. */
export const LONGEST_GAP = 1000;

/**
 * The capture that a damaged path makes of a time line.
 *
 * @param line `frames` and at least as many more as the damage takes away
 * @param peak of the tone in the line
 */
export function damaged(line: Float64Array, frames: number, damage: Damage, peak: number): Float64Array {
  const { at, frames: length } = damage;
  const gain = damage.kind === 'level' ? 10 ** (damage.step_dB / 20) : 1;
  const pulse = damage.kind === 'click' ? damage.height * peak : 0;
  const out = new Float64Array(frames);
  for (let n = 0; n < frames; n++) {
    if (damage.kind === 'dropped') out[n] = line[n < at ? n : n + length]!;
    else if (damage.kind === 'doubled') out[n] = line[n < at + length ? n : n - length]!;
    else out[n] = n >= at && n < at + length ? gain * line[n]! + pulse : line[n]!;
  }
  return out;
}

/** The frame at which a damage shows. */
export function seenAt({ kind, at, frames }: Damage): number {
  return kind === 'doubled' ? at + frames : at;
}

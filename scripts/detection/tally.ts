import { seededRandom } from '../../src/signal/dither.js';
import { type CaptureSpec, type Dice, drawCapture, type Fixed } from './capture-spec.js';
import { type Damage, LONGEST_GAP, seenAt } from './damage.js';
import { look } from './look.js';

/** What came of many captures of one sort. */
export interface Tally {
  readonly captures: number;
  /** Captures in which at least one break was reported. */
  readonly found: number;
  /** The others, as far as they were damaged: with what, and how. */
  readonly missed: readonly Missed[];
  /** Median distance, in frames, between the break and the report nearest to it. */
  readonly off_frames: number;
}

export interface Missed {
  readonly spec: CaptureSpec;
  readonly damage: Damage | null;
}

/** Draws one damage for a capture of so many frames. */
export type DrawDamage = (dice: Dice, frames: number) => Damage;

/** Anywhere: the first sample after the break may be the second of the record or its last. */
function place(dice: Dice, frames: number, length: number): number {
  return 1 + Math.floor(dice() * (frames - 1 - length));
}

/** Samples lost or played twice, between so many and so many of them, short ones as often as long ones. */
export function gapOf(least: number, most: number): DrawDamage {
  return (dice, frames) => {
    const length = Math.min(LONGEST_GAP, Math.round(least * (most / least) ** dice()));
    const kind = dice() < 0.5 ? 'dropped' : 'doubled';
    return { kind, at: place(dice, frames, kind === 'doubled' ? length : 0), frames: length };
  };
}

/** The level is another by so much for 1 to 1000 samples, or for good. */
export function glitchOf(step_dB: number, lasting: boolean): DrawDamage {
  return (dice, frames) => {
    const length = Math.round(1000 ** dice());
    const at = place(dice, frames, length);
    return {
      kind: 'level',
      at,
      frames: lasting ? frames : length,
      step_dB: dice() < 0.5 ? step_dB : -step_dB,
    };
  };
}

/** A pulse of one to four samples, so high relative to the tone. */
export function clickOf(height_dB: number): DrawDamage {
  return (dice, frames) => {
    const length = 1 + Math.floor(4 * dice());
    const height = 10 ** (height_dB / 20) * (dice() < 0.5 ? 1 : -1);
    return { kind: 'click', at: place(dice, frames, length), frames: length, height };
  };
}

/** Invents captures, each with its damage, and counts what is reported; the same for the same seed. */
export function tally(captures: number, seed: number, fixed: Fixed, draw: DrawDamage | null): Tally {
  const dice = seededRandom(seed);
  const missed: Missed[] = [];
  const off: number[] = [];
  let found = 0;
  for (let i = 0; i < captures; i++) {
    const spec = drawCapture(dice, fixed);
    const damage = draw === null ? null : draw(dice, spec.tone.frames);
    const { gaps } = look(spec, damage);
    if (gaps.length > 0) found++;
    if (damage && gaps.length > 0)
      off.push(Math.min(...gaps.map(({ frame }) => Math.abs(frame - seenAt(damage)))));
    // What is wrong with a clean capture is that something was found.
    if (damage ? gaps.length === 0 : gaps.length > 0) missed.push({ spec, damage });
  }
  off.sort((a, b) => a - b);
  return { captures, found, missed, off_frames: off[Math.floor(off.length / 2)] ?? Number.NaN };
}

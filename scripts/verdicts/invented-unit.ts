import type { Dice } from './dice.js';

/** What an invented unit does besides amplifying: each is as likely as the others. */
export const SHAPES = [
  'hard',
  'soft',
  'noisy',
  'crossover',
  'hump',
  'limiter',
  'compressor',
  'foldback',
] as const;
export type Shape = (typeof SHAPES)[number];

/** What a unit gives at one drive: the power at the load and its THD+N. */
export interface Given {
  readonly power_W: number;
  readonly percent: number;
  /** Noise alone, percent. */
  readonly noise_percent: number;
  /** Output behind the drive, dB. */
  readonly behind_dB: number;
}

/** One channel at one frequency, known without error. */
export interface InventedUnit {
  readonly shape: Shape;
  /** @param drive_dBW power that the drive would give by the gain at low level */
  readonly at: (drive_dBW: number) => Given;
}

/** Power and distortion of an ideal clipper driven k times over its onset (k above 1), by the Fourier series of a clipped sine. */
function clipped(k: number): { readonly power: number; readonly percent: number } {
  const [angle, corner] = [Math.asin(1 / k), Math.sqrt(1 - 1 / k ** 2)];
  const power = (2 * (k * k * angle - k * corner + Math.PI - 2 * angle)) / Math.PI;
  const first = (2 / Math.PI) * (k * angle + corner);
  return { power, percent: (100 * Math.sqrt(Math.max(0, power - first ** 2))) / Math.sqrt(power) };
}

/** Draws a unit that clips at `clip_W`. Figures span what is usual, not what any one unit does. */
export function inventUnit(dice: Dice, shape: Shape, clip_W: number): InventedUnit {
  const noise = between(dice, 0.002, shape === 'noisy' ? 0.25 : 0.02);
  const floor = between(dice, 0.0005, 0.02);
  const rising = between(dice, 0.0005, 0.03);
  const crossover = shape === 'crossover' ? between(dice, 0.3, 10) : 0;
  const hump = {
    at_W: clip_W * between(dice, 0.08, 0.5),
    width: between(dice, 0.05, 0.4),
    percent: between(dice, 0.12, 0.6),
  };
  const limit_W = clip_W * between(dice, 0.4, 0.9);
  const steepness = between(dice, 4, 30);
  const at = (drive_dBW: number): Given => {
    const linear_W = 10 ** (drive_dBW / 10);
    const held_W = heldBack(shape, linear_W, limit_W);
    const over = Math.sqrt(held_W / clip_W);
    const hard = shape !== 'soft' && over > 1 ? clipped(over) : null;
    const power_W = hard ? clip_W * hard.power : held_W;
    const clipping = hard ? hard.percent : shape === 'soft' ? (held_W / clip_W) ** steepness : 0;
    const bump =
      shape === 'hump' ? hump.percent * Math.exp(-((Math.log(power_W / hump.at_W) / hump.width) ** 2)) : 0;
    const noise_percent = noise / Math.sqrt(power_W);
    const parts = [
      noise_percent,
      floor,
      rising * (power_W / clip_W),
      clipping,
      bump,
      crossover / Math.sqrt(power_W / 0.05),
    ];
    const behind_dB = hard ? 0.2 * hard.percent : 10 * Math.log10(linear_W / power_W);
    return { power_W, percent: Math.hypot(...parts), noise_percent, behind_dB };
  };
  return { shape, at };
}

/** A limiter gives no more, a compressor a quarter of each decibel, protection folds back. */
function heldBack(shape: Shape, linear_W: number, limit_W: number): number {
  const over = linear_W / limit_W;
  if (over <= 1) return linear_W;
  if (shape === 'limiter') return limit_W;
  if (shape === 'compressor') return limit_W * over ** 0.25;
  return shape === 'foldback' ? limit_W / over : linear_W;
}

/** Evenly in the logarithm. */
export const between = (dice: Dice, low: number, high: number): number => low * (high / low) ** dice.share();

/** Where a run ends, as a climb does: the first drive at which THD+N passes this, or this far above clipping. */
export const STOP_PERCENT = 1;
const STEP_dB = 0.02;

/** The highest drive that is played: up to the stop, and no further than the interface gives. */
export function stopOf({ at }: InventedUnit, from_dBW: number, most_dBW: number): number {
  for (let drive = from_dBW; drive < most_dBW; drive += STEP_dB)
    // Crossover and noise at the lowest levels do not end a climb: it is the rise that does.
    if (at(drive).percent > STOP_PERCENT && at(drive + STEP_dB).percent > at(drive).percent) return drive;
  return most_dBW;
}

/** The true maximum power: the highest up to the stop that keeps the limit; 0 where none does. By trying every 0.02 dB, then halving. */
export function truthOf(
  unit: InventedUnit,
  limit_percent: number,
  from_dBW: number,
  stop_dBW: number,
): number {
  let most = 0;
  const keeps = (drive: number) => unit.at(drive).percent <= limit_percent;
  for (let drive = stop_dBW; drive >= from_dBW; drive -= STEP_dB) {
    if (!keeps(drive)) continue;
    let [low, high] = [drive, drive + STEP_dB];
    for (let i = 0; i < 40 && !keeps(high); i += 1) {
      const middle = (low + high) / 2;
      if (keeps(middle)) low = middle;
      else high = middle;
      if (high - low < 1e-9) break;
    }
    most = Math.max(most, unit.at(low).power_W);
  }
  return most;
}

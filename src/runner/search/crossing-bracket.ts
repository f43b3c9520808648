import { overTrend } from '../../measure/knee.js';
import { riseOf, trendOf } from '../../measure/trend.js';
import type { Reading } from '../../record/run-record.js';
import { decibelsOfPower } from '../../units/decibel.js';

/** What one channel gave at one level. */
export interface LevelReading {
  readonly channel: number;
  readonly power_W: number;
  readonly thdn_percent: number;
}

/** One level of a search, already measured: asked of the channel with most gain, in dB above 1 W. */
export interface LevelSample<R extends LevelReading = LevelReading> {
  readonly asked_dBW: number;
  /** One entry a channel, in the same order in every sample of a search. */
  readonly readings: readonly R[];
}

/** A level of a search with all that was read at it. */
export type ReadSample = LevelSample<Reading>;

/** Two neighbouring levels between which THD+N of one channel rises through a threshold. */
export interface Bracket {
  readonly low: { readonly asked_dBW: number; readonly reading: LevelReading };
  readonly high: { readonly asked_dBW: number; readonly reading: LevelReading };
  readonly threshold_percent: number;
  /** In measured power. */
  readonly width_dB: number;
}

/** A crossing is refined until its bracket is at most this wide in measured power. */
export const BRACKET_dB = 0.05;
/** Asked levels closer than this are the same level. */
export const RESOLUTION_dB = 0.001;
/** No unit is driven on once a channel is this far into clipping, whatever the others do. */
export const FAR_OVER_PERCENT = 10;
/** Below a bracket whose ends differ by more than this factor in THD+N, interpolation is not to be trusted. */
export const SMOOTH_RATIO = 4;
/** Such a bracket is halved down to this width, where interpolation can no longer be far off. */
const STEEP_BRACKET_dB = 0.01;

/** The samples of a search from the lowest level to the highest. */
export function byLevel<S extends LevelSample>(samples: readonly S[]): S[] {
  return [...samples].sort((a, b) => a.asked_dBW - b.asked_dBW);
}

/**
 * The last step up through a threshold, between neighbouring levels. A fall through it at low level is noise.
 *
 * @param sorted from the lowest level to the highest
 * @param index of the channel within the readings
 */
export function lastBracket(
  sorted: readonly LevelSample[],
  index: number,
  threshold_percent: number,
): Bracket | null {
  for (let i = sorted.length - 1; i > 0; i -= 1) {
    const [low, high] = [sorted[i - 1]!, sorted[i]!];
    const [below, above] = [low.readings[index]!, high.readings[index]!];
    if (below.thdn_percent < threshold_percent && above.thdn_percent >= threshold_percent) {
      return {
        low: { asked_dBW: low.asked_dBW, reading: below },
        high: { asked_dBW: high.asked_dBW, reading: above },
        threshold_percent,
        width_dB: Math.abs(decibelsOfPower(above.power_W / below.power_W)),
      };
    }
  }
  return null;
}

/** By how much THD+N differs between the ends of a bracket. */
export function ratioOf(bracket: Bracket): number {
  return bracket.high.reading.thdn_percent / bracket.low.reading.thdn_percent;
}

/** Whether a bracket must be narrowed, and can be. */
export function isOpen(bracket: Bracket): boolean {
  const needed_dB = ratioOf(bracket) > SMOOTH_RATIO ? STEEP_BRACKET_dB : BRACKET_dB;
  return bracket.width_dB > needed_dB && spanOf(bracket) > 2 * RESOLUTION_dB;
}

/**
 * Whether the ends of a bracket tell of different regimes however narrow it is. A unit may clip like that; but one that changed
 * between two captures, or a hum that came in, looks the same until the lower end is played again.
 */
export function isCliff(bracket: Bracket): boolean {
  return ratioOf(bracket) > SMOOTH_RATIO;
}

/** The looks at one level, in the order in which they were taken. */
export function samplesAtLevel<S extends LevelSample>(samples: readonly S[], asked_dBW: number): S[] {
  return samples.filter((sample) => Math.abs(sample.asked_dBW - asked_dBW) < RESOLUTION_dB);
}

/**
 * Two looks at one level of which one kept a threshold and the other did not, in the order in which they were taken: no
 * crossing can be told by them. Null where there are none.
 *
 * @param index of the channel within the readings
 */
export function contradiction<R extends LevelReading>(
  samples: readonly LevelSample<R>[],
  index: number,
  threshold_percent: number,
): readonly [R, R] | null {
  for (const { asked_dBW } of samples) {
    const captures = samplesAtLevel(samples, asked_dBW).map(({ readings }) => readings[index]!);
    const kept = (capture: LevelReading) => capture.thdn_percent < threshold_percent;
    const other = captures.find((capture) => kept(capture) !== kept(captures[0]!));
    if (other) return [captures[0]!, other];
  }
  return null;
}

/** Width of a bracket in asked level. */
export function spanOf({ low, high }: Bracket): number {
  return high.asked_dBW - low.asked_dBW;
}

/**
 * Where to look next inside a bracket: the middle while its ends tell of different regimes, else just
 * past the interpolated crossing on its wider side, so that the next capture closes the bracket around it.
 */
export function levelWithin(bracket: Bracket): number {
  const { low, high, threshold_percent } = bracket;
  const span = spanOf(bracket);
  if (ratioOf(bracket) > SMOOTH_RATIO) return low.asked_dBW + span / 2;
  const share =
    Math.log(threshold_percent / low.reading.thdn_percent) /
    Math.log(high.reading.thdn_percent / low.reading.thdn_percent);
  const past = (0.4 * BRACKET_dB * span) / bracket.width_dB;
  const aimed = share * span + (share < 0.5 ? past : -past);
  return low.asked_dBW + Math.min(Math.max(aimed, 0.1 * span), 0.9 * span);
}

/**
 * True while THD+N of a channel still sinks with level, or nothing but the first level is known: what is
 * above a threshold then is noise, not clipping, and a search must go on through it.
 */
export function sinking(now: LevelReading, before: LevelReading | undefined): boolean {
  return before === undefined || now.thdn_percent < 0.97 * before.thdn_percent;
}

/**
 * The two neighbouring levels between which THD+N of a channel leaves the trend of the rise for good; null where it has no
 * trend, or does not. In it THD+N stands over twice the trend, so that the knee is crossed at 1. The trend rests on the rise
 * alone, so that captures taken to find the knee do not move it.
 *
 * @param taken in the order in which they were taken, the rise at an end
 * @param index of the channel within the readings
 */
export function kneeBracket(taken: readonly LevelSample[], index: number): Bracket | null {
  const rise = riseOf(taken, ({ asked_dBW }) => asked_dBW);
  const trend = trendOf(rise.map(({ readings }) => readings[index]!));
  if (!trend) return null;
  const relative = byLevel(taken).flatMap(({ asked_dBW, readings }) =>
    overTrend([readings[index]!], trend).map((reading) => ({ asked_dBW, readings: [reading] })),
  );
  const stays = (relative.at(-1)?.readings[0]?.thdn_percent ?? 0) > 1;
  return stays ? lastBracket(relative, 0, 1) : null;
}

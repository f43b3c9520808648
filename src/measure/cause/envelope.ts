import { median } from '../median.js';
import { correlate } from './fold.js';

/** How the level of the tone went along a record. */
export interface LevelCourse {
  /**
   * Change of the fundamental from the start of the record to its end, as a share of its mean, by a straight
   * line.
   */
  readonly trend: number;
  /** Least level of any stretch, as a share of the median. */
  readonly least: number;
  /** Time at which the output fell below a tenth of what it was before, in seconds; null: it did not. */
  readonly vanishes_s: number | null;
}

/** Length of a stretch where the tone's period allows it. */
const STRETCH_S = 0.01;
/** An output below this share of what it was is gone. */
const GONE = 0.1;
/** An output stands while its least level is at least this share of its highest. */
const STANDS = 0.5;

/** Levels of the fundamental over stretches of whole cycles, 10 ms or a cycle long, whichever is more. */
export function envelopeOf(samples: Float64Array, cyclesPerSample: number, rate_Hz: number): LevelCourse {
  const cycles = Math.max(1, Math.round(STRETCH_S * rate_Hz * cyclesPerSample));
  const frames = cycles / cyclesPerSample;
  const count = Math.floor(samples.length / frames + 1e-9);
  const levels = Float64Array.from({ length: count }, (_, i) => {
    const to = Math.min(samples.length, Math.round((i + 1) * frames));
    const { re, im } = correlate(samples, cyclesPerSample, Math.round(i * frames), to);
    return Math.hypot(re, im);
  });
  const middle = median(levels);
  const gone = goneAt(levels);
  return {
    // Levels stand for the whole stretches only; the line goes on to both ends.
    trend: count > 0 ? (trendOf(levels) * samples.length) / (count * frames) : 0,
    least: middle > 0 ? Math.min(...levels) / middle : 0,
    vanishes_s: gone > 0 ? (gone * frames) / rate_Hz : null,
  };
}

/**
 * First stretch whose level, like the next one's, is gone, where all before stood; -1 when there is none. Noise
 * never stands.
 */
function goneAt(levels: Float64Array): number {
  let [most, least] = [levels[0] ?? 0, levels[0] ?? 0];
  for (let i = 1; i < levels.length; i += 1) {
    const gone = GONE * most;
    if (levels[i]! < gone && (levels[i + 1] ?? 0) < gone && least > STANDS * most) return i;
    most = Math.max(most, levels[i]!);
    least = Math.min(least, levels[i]!);
  }
  return -1;
}

/** Rise of the straight line through all levels, over the mean. */
function trendOf(levels: Float64Array): number {
  const count = levels.length;
  if (count < 2) return 0;
  const middle = (count - 1) / 2;
  let [sum, moment, inertia] = [0, 0, 0];
  for (let i = 0; i < count; i += 1) {
    sum += levels[i]!;
    moment += (i - middle) * levels[i]!;
    inertia += (i - middle) ** 2;
  }
  return sum > 0 ? ((moment / inertia) * count) / (sum / count) : 0;
}

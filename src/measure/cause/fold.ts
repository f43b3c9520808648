import { cyclesAt } from '../cycles.js';

/**
 * The tone that a record holds: `cycles` in `frames`, not always whole when playback and capture clocks differ.
 */
export interface FoldTone {
  readonly cycles: number;
  readonly frames: number;
  readonly rate_Hz: number;
}

/** All samples of a record laid onto one cycle by their phase. */
export interface Folded {
  /**
   * Mean of the samples in each of `PHASES` equal parts of the cycle; the cycle begins where the fundamental
   * rises through zero.
   */
  readonly cycle: Float64Array;
  readonly cyclesPerSample: number;
  /** Share of a cycle, 0 to 1, that has passed at the first sample. */
  readonly start: number;
  /** Peak of the fundamental, and the mean. */
  readonly amplitude: number;
  readonly dc: number;
  /** Each sample less the cycle at its phase: all that does not repeat with the tone. */
  readonly residue: Float64Array;
}

/** Parts of the cycle. Steps of 0.7 degrees show any shape that fits below the 25th harmonic. */
export const PHASES = 512;
/**
 * Halves of a record that drift apart by more than this in phase were taken with another clock: 1 ppm at 1 kHz.
 */
const DRIFT_RAD = 2e-3;

/**
 * Folds a record onto one cycle. Cycles and frames of a coherent tone have no factor in common, so that N
 * samples fall on N different phases and each part of the cycle gets as many as any other: equivalent-time
 * sampling (IEEE Std 1057, from memory).
 *
 * @param samples at least a few thousand, and a few cycles
 */
export function foldCycle(samples: Float64Array, tone: FoldTone): Folded {
  const cyclesPerSample = trueFrequency(samples, tone.cycles / tone.frames);
  const whole = wholeCycles(samples.length, cyclesPerSample);
  const { re, im } = correlate(samples, cyclesPerSample, 0, whole);
  // Of the sine that the fundamental amounts to.
  const start = turns(Math.atan2(re, im) / (2 * Math.PI));
  const dc = meanOf(samples, whole);
  const cycle = meanCycle(samples, cyclesPerSample, start);
  const residue = samples.map((x, n) => x - between(cycle, turns(start + cyclesAt(cyclesPerSample, n))));
  return { cycle, cyclesPerSample, start, amplitude: 2 * Math.hypot(re, im), dc, residue };
}

/** Share of the cycle at which a sample lies. */
export function phaseAt(folded: Folded, n: number): number {
  return turns(folded.start + cyclesAt(folded.cyclesPerSample, n));
}

/** Samples of the longest stretch from the first one on that holds whole cycles. */
export function wholeCycles(frames: number, cyclesPerSample: number): number {
  return Math.min(frames, Math.round(Math.floor(frames * cyclesPerSample + 1e-6) / cyclesPerSample));
}

/** Mean of samples times cos (re) and sin (im) of the tone, counted from the record's first sample. */
export function correlate(
  samples: Float64Array,
  cyclesPerSample: number,
  from: number,
  to: number,
): { re: number; im: number } {
  const [stepRe, stepIm] = [Math.cos(2 * Math.PI * cyclesPerSample), Math.sin(2 * Math.PI * cyclesPerSample)];
  let [sumRe, sumIm, cos, sin] = [0, 0, 1, 0];
  for (let n = from; n < to; n += 1) {
    if ((n - from) % 512 === 0) {
      const angle = 2 * Math.PI * cyclesAt(cyclesPerSample, n);
      cos = Math.cos(angle);
      sin = Math.sin(angle);
    }
    sumRe += samples[n]! * cos;
    sumIm += samples[n]! * sin;
    const next = cos * stepRe - sin * stepIm;
    sin = cos * stepIm + sin * stepRe;
    cos = next;
  }
  const count = Math.max(1, to - from);
  return { re: sumRe / count, im: sumIm / count };
}

/** The stated frequency, mended by the phase that the two halves of the record differ in. */
function trueFrequency(samples: Float64Array, stated: number): number {
  const half = Math.round(Math.floor((samples.length * stated) / 2) / stated);
  if (half < 2) return stated;
  const first = correlate(samples, stated, 0, half);
  const second = correlate(samples, stated, half, 2 * half);
  const cross = first.im * second.re - first.re * second.im;
  const drift = Math.atan2(cross, first.re * second.re + first.im * second.im);
  return Math.abs(drift) > DRIFT_RAD ? stated + drift / (2 * Math.PI * half) : stated;
}

function meanOf(samples: Float64Array, count: number): number {
  let sum = 0;
  for (let n = 0; n < count; n += 1) sum += samples[n]!;
  return sum / Math.max(1, count);
}

function meanCycle(samples: Float64Array, cyclesPerSample: number, start: number): Float64Array {
  const sums = new Float64Array(PHASES);
  const counts = new Float64Array(PHASES);
  for (let n = 0; n < samples.length; n += 1) {
    const part = Math.floor(turns(start + cyclesAt(cyclesPerSample, n)) * PHASES);
    sums[part] = sums[part]! + samples[n]!;
    counts[part] = counts[part]! + 1;
  }
  return fillGaps(
    sums.map((sum, i) => (counts[i]! > 0 ? sum / counts[i]! : 0)),
    counts,
  );
}

/** Parts of the cycle that no sample fell on take the value of the part before. */
function fillGaps(cycle: Float64Array, counts: Float64Array): Float64Array {
  const first = counts.findIndex((count) => count > 0);
  for (let i = 1; first >= 0 && i < PHASES; i += 1) {
    const at = (first + i) % PHASES;
    if (counts[at] === 0) cycle[at] = cycle[(at + PHASES - 1) % PHASES]!;
  }
  return cycle;
}

/** The cycle at any phase, straight between the middles of its parts. */
function between(cycle: Float64Array, phase: number): number {
  const place = phase * PHASES - 0.5;
  const below = Math.floor(place);
  const low = cycle[(below + PHASES) % PHASES]!;
  return low + (place - below) * (cycle[(below + 1) % PHASES]! - low);
}

/** Whole turns taken off: 0 up to, not including, 1. */
function turns(x: number): number {
  const rest = x - Math.floor(x);
  return rest < 1 ? rest : 0;
}

import { cholesky, solveCholesky } from '../cholesky.js';
import { type Folded, PHASES, phaseAt } from './fold.js';

/** How the height of the tops moves with the mains. */
export interface Ripple {
  /** The mains frequency that fits best. */
  readonly mains_Hz: number;
  /** Peak to peak of the movement as a share of the tops' height. */
  readonly depth: number;
  /** Share of all movement of the tops that this accounts for. */
  readonly share: number;
  /** True when it comes once a mains cycle rather than twice: half of the rectifier is missing. */
  readonly halfWave: boolean;
}

const MAINS_HZ = [49.9, 50, 50.1, 59.95, 60, 60.05];
/**
 * Multiples of the mains that are looked for: once a cycle, and the ripple of a full-wave rectifier with its
 * harmonics.
 */
const MULTIPLES = [1, 2, 4, 6];
/** A top is what lies above this share of the highest. */
const TOP = 0.97;
/** More samples than this tell no more. */
const ENOUGH_SAMPLES = 24_000;
/** Points of a mains cycle at which the movement is drawn to find its peaks. */
const DRAWN = 96;

/**
 * Movement of the tops with the mains: what does not repeat with the tone, taken at the tops only and outwards
 * as positive, by least squares against multiples of the mains. A reservoir that clips the tops moves them by
 * its ripple, Vpp ~ I / (2 f C) and lines at f0 +- n x 2 x mains (standards facts, section 13). Hum that is
 * merely added to the output pushes both tops the same way, so it cancels here.
 */
export function rippleOf(folded: Folded, rate_Hz: number): Ripple {
  const { times, heights, top } = topSamples(folded, rate_Hz);
  const still = { mains_Hz: MAINS_HZ[1]!, depth: 0, share: 0, halfWave: false };
  const total = heights.reduce((sum, h) => sum + h * h, 0);
  if (heights.length < 200 || total === 0 || top <= 0) return still;
  const fits = MAINS_HZ.map((mains_Hz) => ({ mains_Hz, ...regress(times, heights, mains_Hz) }));
  const best = fits.reduce((most, one) => (one.explained > most.explained ? one : most));
  const once = Math.hypot(best.parts[0]!, best.parts[1]!);
  const twice = Math.hypot(best.parts[2]!, best.parts[3]!);
  return {
    mains_Hz: Math.round(best.mains_Hz),
    depth: swing(best.parts) / top,
    share: Math.min(1, Math.max(0, best.explained / total)),
    halfWave: once > twice,
  };
}

interface TopSamples {
  readonly times: Float64Array;
  readonly heights: Float64Array;
  /** Mean height of both tops. */
  readonly top: number;
}

function topSamples(folded: Folded, rate_Hz: number): TopSamples {
  const { cycle, dc } = folded;
  const residue = withoutDrift(folded);
  const [high, low] = [Math.max(...cycle) - dc, Math.min(...cycle) - dc];
  const signs = cycle.map((v) => (v - dc > TOP * high ? 1 : v - dc < TOP * low ? -1 : 0));
  const count = residue.reduce((sum, _, n) => sum + Math.abs(signAt(n)), 0);
  const stride = Math.max(1, Math.ceil(count / ENOUGH_SAMPLES));
  const [times, heights]: [number[], number[]] = [[], []];
  let seen = 0;
  for (let n = 0; n < residue.length; n += 1) {
    const sign = signAt(n);
    if (sign === 0) continue;
    seen += 1;
    if (seen % stride !== 0) continue;
    times.push(n / rate_Hz);
    heights.push(sign * residue[n]!);
  }
  return { times: Float64Array.from(times), heights: Float64Array.from(heights), top: (high - low) / 2 };

  function signAt(n: number): number {
    return signs[Math.floor(phaseAt(folded, n) * PHASES)]!;
  }
}

/**
 * The residue less the mean of each cycle, straight between their middles: an offset that creeps is no movement
 * of the tops.
 */
function withoutDrift({ residue, cyclesPerSample, start }: Folded): Float64Array {
  const count = Math.ceil(start + residue.length * cyclesPerSample) + 1;
  const [sums, numbers] = [new Float64Array(count), new Float64Array(count)];
  const cycleOf = (n: number) => Math.floor(start + n * cyclesPerSample);
  for (let n = 0; n < residue.length; n += 1) {
    const i = cycleOf(n);
    sums[i] = sums[i]! + residue[n]!;
    numbers[i] = numbers[i]! + 1;
  }
  // Cycles cut off by the ends of the record take their neighbour's mean.
  const whole = 0.9 / cyclesPerSample;
  const [first, last] = [numbers.findIndex((x) => x >= whole), numbers.findLastIndex((x) => x >= whole)];
  if (first < 0) return residue;
  const mean = (i: number) => {
    const at = Math.max(first, Math.min(last, i));
    return sums[at]! / Math.max(1, numbers[at]!);
  };
  return residue.map((x, n) => {
    const place = start + n * cyclesPerSample - 0.5;
    const below = Math.floor(place);
    return x - mean(below) - (place - below) * (mean(below + 1) - mean(below));
  });
}

/** Cosine and sine of each multiple, and the sum of squares that they account for beside a slow drift. */
function regress(times: Float64Array, heights: Float64Array, mains_Hz: number) {
  const size = 2 * MULTIPLES.length + 2;
  const gram = Array.from({ length: size }, () => new Array<number>(size).fill(0));
  const right = new Array<number>(size).fill(0);
  const row = new Array<number>(size).fill(0);
  const middle = ((times[0] ?? 0) + (times.at(-1) ?? 0)) / 2;
  for (let n = 0; n < times.length; n += 1) {
    const angle = 2 * Math.PI * mains_Hz * times[n]!;
    MULTIPLES.forEach((multiple, i) => {
      row[2 * i] = Math.cos(multiple * angle);
      row[2 * i + 1] = Math.sin(multiple * angle);
    });
    row[size - 2] = 1;
    row[size - 1] = times[n]! - middle;
    for (let i = 0; i < size; i += 1) {
      right[i] = right[i]! + row[i]! * heights[n]!;
      for (let j = 0; j <= i; j += 1) gram[i]![j] = gram[i]![j]! + row[i]! * row[j]!;
    }
  }
  for (let i = 0; i < size; i += 1) {
    // Keeps multiples that the tone's own tops cannot tell apart from blowing up.
    gram[i]![i] = gram[i]![i]! * (1 + 1e-6) + 1e-12;
    for (let j = 0; j < i; j += 1) gram[j]![i] = gram[i]![j]!;
  }
  const parts = solveCholesky(cholesky(gram), right);
  const explained = MULTIPLES.reduce((sum, _, i) => {
    return sum + parts[2 * i]! * right[2 * i]! + parts[2 * i + 1]! * right[2 * i + 1]!;
  }, 0);
  return { parts, explained };
}

/** Peak to peak of the movement over a mains cycle. */
function swing(parts: readonly number[]): number {
  const drawn = Array.from({ length: DRAWN }, (_, k) =>
    MULTIPLES.reduce((sum, multiple, i) => {
      const angle = (2 * Math.PI * multiple * k) / DRAWN;
      return sum + parts[2 * i]! * Math.cos(angle) + parts[2 * i + 1]! * Math.sin(angle);
    }, 0),
  );
  return Math.max(...drawn) - Math.min(...drawn);
}

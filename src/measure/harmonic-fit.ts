import { cholesky, solveCholesky } from './cholesky.js';
import { cyclesAt } from './cycles.js';
import { sumOf } from './level.js';
import { correlated, subtractTones, toneTable } from './tone-table.js';

/** A cos(h w t) + B sin(h w t) with t counted from the middle of the record. */
export interface FittedOrder {
  readonly order: number;
  readonly cosine: number;
  readonly sine: number;
}

export interface HarmonicFit {
  readonly cyclesPerSample: number;
  readonly dc: number;
  /** Orders 1 to the highest asked for. */
  readonly orders: readonly FittedOrder[];
  /** The samples less `dc` and all orders. */
  readonly residue: Float64Array;
}

/**
 * Least-squares fit of a constant, a tone of known frequency and its harmonics up to `highestOrder`,
 * all at once, to a record of any length: the three-parameter fit of IEEE Std 1057 carried on to
 * harmonics. Counting time from the middle makes cosines and sines independent of each other, and
 * gives the normal equations in closed form (Dirichlet kernels).
 *
 * @param cyclesPerSample frequency over rate; every order must stay below 0.5
 * @param residue room for what is left over, as long as the samples; written over
 */
export function fitHarmonics(
  samples: Float64Array,
  cyclesPerSample: number,
  highestOrder: number,
  residue: Float64Array = new Float64Array(samples.length),
): HarmonicFit {
  const frames = samples.length;
  const tables = Array.from({ length: highestOrder }, (_, i) => toneTable((i + 1) * cyclesPerSample));
  const sums = correlated(samples, tables);
  const cosines = [sumOf(samples), ...sums.map(({ cosine }) => cosine)];
  const sines = sums.map(({ sine }) => sine);
  const kernel = Array.from({ length: 2 * highestOrder + 1 }, (_, m) =>
    dirichlet(frames, m * cyclesPerSample),
  );
  const even = cosines.map((_, a) => cosines.map((_, b) => (kernel[Math.abs(a - b)]! + kernel[a + b]!) / 2));
  const odd = sines.map((_, a) => sines.map((_, b) => (kernel[Math.abs(a - b)]! - kernel[a + b + 2]!) / 2));
  const [dc = 0, ...cosineParts] = solveCholesky(cholesky(even), cosines);
  const sineParts = solveCholesky(cholesky(odd), sines);
  const orders = cosineParts.map((cosine, i) => ({ order: i + 1, cosine, sine: sineParts[i]! }));
  for (let n = 0; n < frames; n++) residue[n] = samples[n]! - dc;
  subtractTones(residue, tables, orders);
  return { cyclesPerSample, dc, orders, residue };
}

/**
 * The same fit with the frequency free: Gauss-Newton steps on it until a further step would change
 * the residue by nothing that shows. With `highestOrder` 1 this is the four-parameter fit of IEEE Std 1057.
 *
 * @param guess frequency over rate, within about half a cycle per record of the truth
 */
export function fitFrequency(samples: Float64Array, guess: number, highestOrder: number): HarmonicFit {
  const frames = samples.length;
  const inertia = (frames * (frames * frames - 1)) / 12;
  const moments = new Float64Array(frames);
  let fit = fitHarmonics(samples, guess, highestOrder);
  for (let step = 0; step < 12; step++) {
    const { cosine, sine } = fit.orders[0]!;
    const amplitude = Math.hypot(cosine, sine);
    if (amplitude === 0) break;
    const moment = correlateMoment(fit.residue, fit.cyclesPerSample, moments);
    const slope = sine * moment.cosine - cosine * moment.sine;
    const radians = slope / ((inertia * amplitude * amplitude) / 2);
    // A bad start must not throw the search out of its own main lobe.
    const bounded = Math.max(-1, Math.min(1, radians * frames)) / frames;
    const next = fit.cyclesPerSample + bounded / (2 * Math.PI);
    fit = fitHarmonics(samples, next, highestOrder, fit.residue);
    const noise = Math.sqrt(meanSquare(fit.residue)) / amplitude;
    if (Math.abs(bounded) * frames < Math.max(1e-12, 1e-4 * noise)) break;
  }
  return fit;
}

/**
 * Takes off the residue what a gain that grows in a straight line over the record leaves there: t times the fundamental,
 * by least squares. With time counted from the middle, it is independent of the fundamental itself.
 */
export function takeDriftOff({ residue, orders, cyclesPerSample }: HarmonicFit): void {
  const { cosine, sine } = orders[0]!;
  const frames = residue.length;
  const middle = (frames - 1) / 2;
  const ramp = new Float64Array(frames);
  subtractTones(ramp, [toneTable(cyclesPerSample)], [{ cosine: -cosine, sine: -sine }]);
  let [product, squares] = [0, 0];
  for (let n = 0; n < frames; n++) {
    ramp[n] = ramp[n]! * (n - middle);
    product += ramp[n]! * residue[n]!;
    squares += ramp[n]! * ramp[n]!;
  }
  const slope = squares > 0 ? product / squares : 0;
  for (let n = 0; n < frames; n++) residue[n] = residue[n]! - slope * ramp[n]!;
}

/** Phase at the first sample, -pi..pi, of the cosine that an order amounts to. */
export function phaseAtStart(fit: HarmonicFit, order: number, frames: number): number {
  const { cosine, sine } = fit.orders[order - 1]!;
  const middle = 2 * Math.PI * cyclesAt((order * fit.cyclesPerSample) / 2, frames - 1);
  const phase = Math.atan2(-sine, cosine) - middle;
  return phase - 2 * Math.PI * Math.round(phase / (2 * Math.PI));
}

/** Sum of cos(2 pi f t) over the record, t counted from its middle. */
function dirichlet(frames: number, f: number): number {
  const below = Math.sin(Math.PI * f);
  if (below === 0) return frames;
  return Math.sin(2 * Math.PI * cyclesAt(f / 2, frames)) / below;
}

function meanSquare(samples: Float64Array): number {
  let sum = 0;
  for (let n = 0; n < samples.length; n++) sum += samples[n]! * samples[n]!;
  return sum / samples.length;
}

/**
 * Sums of t times samples times cos and sin of 2 pi f t: how the residue leans on the frequency.
 *
 * @param moments room for t times samples
 */
function correlateMoment(
  samples: Float64Array,
  f: number,
  moments: Float64Array,
): { cosine: number; sine: number } {
  const middle = (samples.length - 1) / 2;
  for (let n = 0; n < samples.length; n++) moments[n] = samples[n]! * (n - middle);
  return correlated(moments, [toneTable(f)])[0]!;
}

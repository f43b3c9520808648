import { PHASES } from './fold.js';

/**
 * Harmonics 2 up, relative to the fundamental, of a wave whose fundamental is a sine from its start: one
 * complex number an order. A positive real part is a sine in phase with the fundamental.
 */
export interface HarmonicVector {
  readonly re: Float64Array;
  readonly im: Float64Array;
}

export type ShapeKind = 'clip' | 'slew' | 'crossover';

/** A shape that a limit gives to a sine, for one depth of it. */
export interface ShapeTemplate {
  readonly kind: ShapeKind;
  /** One part, or two that may differ in size: what is missing at the positive tops, and at the negative ones. */
  readonly parts: readonly HarmonicVector[];
}

export const MOST_ORDER = 25;
const DEPTHS = [0.997, 0.99, 0.98, 0.97, 0.96, 0.95, 0.93, 0.9, 0.87, 0.84, 0.8, 0.75, 0.7, 0.6];
const SOFTNESS = [0, 0.03, 0.1];
const SLEW_DEPTHS = [...DEPTHS, 0.5, 0.4, 0.2];
const CROSSOVER_WIDTHS = [0.003, 0.01, 0.03, 0.1, 0.3];
/** Steps a cycle with which the slew limit is followed. */
const FINE = 8 * PHASES;

/**
 * Shapes to compare a distorted sine with. Limit at a level: `min(sin, depth)`, with corner rounded by a
 * parabola; third harmonic in phase with the fundamental. Slew limit: slope no more than `depth` of the sine's
 * steepest (SR = 2 pi f Vpk, standards facts section 13); ends in the triangle whose third harmonic is -1/9.
 * Crossover: x - m x / sqrt(x^2 + s^2), for a small share m missing; its odd harmonics are all in antiphase
 * (those of a square wave taken off).
 */
export function shapeTemplates(): readonly ShapeTemplate[] {
  made ??= [
    ...SOFTNESS.flatMap((soft) => DEPTHS.map((depth) => clipTemplate(depth, soft))),
    ...SLEW_DEPTHS.map((depth) => template('slew', [harmonicsOf(slewed(depth))])),
    ...CROSSOVER_WIDTHS.map((width) => template('crossover', [harmonicsOf(crossed(width))])),
  ];
  return made;
}

let made: readonly ShapeTemplate[] | null = null;

function template(kind: ShapeKind, parts: readonly HarmonicVector[]): ShapeTemplate {
  return { kind, parts };
}

function clipTemplate(depth: number, soft: number): ShapeTemplate {
  const width = Math.max(soft * depth, 1e-12);
  const excess = (u: number) => {
    if (u <= -width) return 0;
    return u >= width ? u : (u + width) ** 2 / (4 * width);
  };
  const high = harmonicsOf(sines(PHASES).map((x) => x - excess(x - depth)));
  const low = harmonicsOf(sines(PHASES).map((x) => x + excess(-x - depth)));
  return template('clip', [high, low]);
}

function crossed(width: number): Float64Array {
  // A small share, so that the pattern does not depend on it.
  return sines(PHASES).map((x) => x - 0.01 * (x / Math.sqrt(x * x + width * width)));
}

/** A sine behind a slew limit in its steady state: two cycles are enough to get there. */
function slewed(depth: number): Float64Array {
  const wanted = sines(FINE);
  const step = (depth * 2 * Math.PI) / FINE;
  const out = new Float64Array(FINE);
  let level = 0;
  for (let i = 0; i < 6 * FINE; i += 1) {
    const at = i % FINE;
    level += Math.max(-step, Math.min(step, wanted[at]! - level));
    out[at] = level;
  }
  return out;
}

function sines(count: number): Float64Array {
  return Float64Array.from({ length: count }, (_, i) => Math.sin((2 * Math.PI * (i + 0.5)) / count));
}

/**
 * Harmonics 2 to `highest` of one cycle given at the middles of equal parts, turned so that its own fundamental
 * is a sine of peak 1.
 *
 * @param highest order, at most `MOST_ORDER`
 */
export function harmonicsOf(cycle: Float64Array, highest = MOST_ORDER): HarmonicVector {
  const [re, im] = [new Float64Array(highest - 1), new Float64Array(highest - 1)];
  const first = order(cycle, 1);
  // Times i: a sine counts as real. Then turned back by the fundamental's own phase, order by order.
  const turn = Math.atan2(first.re, -first.im);
  const size = Math.hypot(first.re, first.im) || 1;
  for (let k = 2; k <= highest; k += 1) {
    const { re: a, im: b } = order(cycle, k);
    const [cos, sin] = [Math.cos(k * turn), -Math.sin(k * turn)];
    re[k - 2] = (-b * cos - a * sin) / size;
    im[k - 2] = (a * cos - b * sin) / size;
  }
  return { re, im };
}

/**
 * Sum of the cycle times exp(-i k phase), scaled to the peak of that order; the averaging within parts undone.
 */
function order(cycle: Float64Array, k: number): { re: number; im: number } {
  const parts = cycle.length;
  let [re, im] = [0, 0];
  for (let i = 0; i < parts; i += 1) {
    const angle = (2 * Math.PI * ((k * (2 * i + 1)) % (2 * parts))) / (2 * parts);
    re += cycle[i]! * Math.cos(angle);
    im -= cycle[i]! * Math.sin(angle);
  }
  return { re: (2 * re) / parts, im: (2 * im) / parts };
}

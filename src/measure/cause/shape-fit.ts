import { cholesky, solveCholesky } from '../cholesky.js';
import {
  type HarmonicVector,
  type ShapeKind,
  type ShapeTemplate,
  shapeTemplates,
} from './shape-templates.js';

/**
 * Shares of the harmonics that each shape accounts for; together the part of their power that is explained, at
 * most 1.
 */
export interface Shape {
  readonly clip: number;
  readonly slew: number;
  readonly crossover: number;
  /** Orders that were looked at, from the second on. With the second and third alone a shape is a guess. */
  readonly orders: number;
}

interface Fit {
  readonly explained: number;
  readonly shares: ReadonlyMap<ShapeKind, number>;
}

/** Sizes of a template that make sense of a wave whose own depth picked it. */
const LEAST_SIZE = 0.25;
const MOST_SIZE = 2.5;
/** A second shape is believed when it leaves less than this part of what one left unexplained ... */
const WORTHWHILE = 0.5;
/** ... and accounts for this much itself. */
const LEAST_SHARE = 0.1;
/** One shape that explains this much stands alone. */
const ENOUGH = 0.995;

/**
 * What shapes of known limits the harmonics of a wave are made of: least squares over templates of every depth,
 * sizes not negative, one shape if it will do, else two.
 *
 * @param wave harmonics relative to the fundamental
 */
export function fitShape(wave: HarmonicVector): Shape {
  const orders = wave.re.length;
  const power = dot(wave, wave, orders);
  if (power === 0) return { clip: 0, slew: 0, crossover: 0, orders };
  const templates = shapeTemplates();
  const single = best(templates.map((one) => fitOne(wave, power, [one])));
  let chosen = single;
  if (single.explained < ENOUGH) {
    const pair = best(pairsOf(templates).map((two) => fitOne(wave, power, two)));
    const least = Math.min(...pair.shares.values());
    const better = 1 - pair.explained < WORTHWHILE * (1 - single.explained);
    if (better && least > LEAST_SHARE) chosen = pair;
  }
  const share = (kind: ShapeKind) => chosen.shares.get(kind) ?? 0;
  return { clip: share('clip'), slew: share('slew'), crossover: share('crossover'), orders };
}

function pairsOf(templates: readonly ShapeTemplate[]): ShapeTemplate[][] {
  return templates.flatMap((a, i) =>
    templates.slice(i + 1).flatMap((b) => (a.kind === b.kind ? [] : [[a, b]])),
  );
}

const NOTHING: Fit = { explained: 0, shares: new Map() };

function best(fits: readonly Fit[]): Fit {
  return fits.reduce((most, fit) => (fit.explained > most.explained ? fit : most), NOTHING);
}

function fitOne(wave: HarmonicVector, power: number, templates: readonly ShapeTemplate[]): Fit {
  const orders = wave.re.length;
  const parts = templates.flatMap((one) => one.parts.map((vector) => ({ kind: one.kind, vector })));
  const sizes = notNegative(
    parts.map((a) => parts.map((b) => dot(a.vector, b.vector, orders))),
    parts.map(({ vector }) => dot(vector, wave, orders)),
  );
  const tallest = new Map<ShapeKind, number>();
  parts.forEach(({ kind }, i) => {
    tallest.set(kind, Math.max(tallest.get(kind) ?? 0, sizes[i]!));
  });
  for (const [kind, size] of tallest) {
    // The pattern of a crossover hardly depends on its size, so any size will do.
    if (kind !== 'crossover' && (size < LEAST_SIZE || size > MOST_SIZE)) return NOTHING;
  }
  const explained =
    parts.reduce((sum, { vector }, i) => sum + sizes[i]! * dot(vector, wave, orders), 0) / power;
  return { explained, shares: sharesOf(templates, sizes, orders, explained) };
}

/**
 * What is explained, split by the strength of each shape: powers would not do, since shapes may cancel in part.
 */
function sharesOf(
  templates: readonly ShapeTemplate[],
  sizes: readonly number[],
  orders: number,
  explained: number,
): Map<ShapeKind, number> {
  let next = 0;
  const strengths = templates.map(({ kind, parts }) => {
    const own = parts.map((vector) => ({ vector, size: sizes[next++]! }));
    const power = own.reduce(
      (sum, a) => sum + own.reduce((row, b) => row + a.size * b.size * dot(a.vector, b.vector, orders), 0),
      0,
    );
    return [kind, Math.sqrt(Math.max(0, power))] as const;
  });
  const sum = strengths.reduce((total, [, strength]) => total + strength, 0);
  return new Map(strengths.map(([kind, strength]) => [kind, sum > 0 ? (explained * strength) / sum : 0]));
}

/**
 * Least squares with no negative size, for up to four parts: the best of all subsets whose solution is
 * positive.
 */
function notNegative(gram: readonly (readonly number[])[], target: readonly number[]): number[] {
  const count = target.length;
  let [least, chosen] = [0, new Array<number>(count).fill(0)];
  for (let subset = 1; subset < 1 << count; subset += 1) {
    const members = target.map((_, i) => i).filter((i) => (subset >> i) & 1);
    const sizes = solveCholesky(
      cholesky(members.map((i) => members.map((j) => gram[i]![j]!))),
      members.map((i) => target[i]!),
    );
    // Parts that cannot be told apart leave no number.
    if (!sizes.every((size) => size > 0 && Number.isFinite(size))) continue;
    const gain = sizes.reduce((sum, size, i) => sum + size * target[members[i]!]!, 0);
    if (gain <= least) continue;
    least = gain;
    chosen = new Array<number>(count).fill(0);
    for (const [i, member] of members.entries()) chosen[member] = sizes[i]!;
  }
  return chosen;
}

/** Product over the first `orders` of both: a wave in a narrow band has fewer than a template. */
function dot(a: HarmonicVector, b: HarmonicVector, orders: number): number {
  let sum = 0;
  for (let i = 0; i < orders; i += 1) sum += a.re[i]! * b.re[i]! + a.im[i]! * b.im[i]!;
  return sum;
}

import { cholesky, solveCholesky } from './cholesky.js';

/** Coefficients of a linear fit, none of them negative, and what is needed to tell how well it is known. */
export interface NonNegativeFit {
  readonly coefficients: readonly number[];
  /** Columns whose coefficient is above 0. */
  readonly active: readonly number[];
  /** Sum of the squared deviations. */
  readonly scatter: number;
  /** How far a row with these entries lies from the middle of those fitted: x' (A'A)^-1 x over the active columns. */
  leverage(row: readonly number[]): number;
}

/** Columns of less than this part of their own squares beside the others cannot be told from them. */
const ALIKE = 1e-10;

/**
 * Least squares of rows times coefficients = right with no coefficient below 0: of all sets of columns, the one with
 * the least scatter among those whose ordinary solution has no negative part, which is the solution (Lawson and Hanson,
 * Solving Least Squares Problems, chapter 23, from memory: the minimum is an ordinary solution over its own positive
 * columns). Meant for a handful of columns.
 *
 * @param rows each with one entry a column
 * @returns null where no set of columns can be solved for
 */
export function nonNegativeFit(
  rows: readonly (readonly number[])[],
  right: readonly number[],
): NonNegativeFit | null {
  const columns = rows[0]?.length ?? 0;
  const normal = normalEquations(rows, right, columns);
  let best: NonNegativeFit | null = null;
  for (let set = 1; set < 2 ** columns; set += 1) {
    const active = Array.from({ length: columns }, (_, i) => i).filter((i) => (set >> i) & 1);
    const fit = active.length > rows.length ? null : fitOver(rows, right, normal, active);
    if (fit && (!best || fit.scatter < best.scatter * (1 - 1e-9))) best = fit;
  }
  return best;
}

/** The products of the columns among themselves and with the right side. */
interface NormalEquations {
  /** Square root of each column's squares. Columns of very different size are made alike, or the products lose all digits. */
  readonly sizes: readonly number[];
  readonly products: readonly (readonly number[])[];
  readonly right: readonly number[];
}

/** Made once for all sets of columns, since with many rows they are most of the work. */
function normalEquations(
  rows: readonly (readonly number[])[],
  right: readonly number[],
  columns: number,
): NormalEquations {
  const products = Array.from({ length: columns }, () => new Float64Array(columns));
  const own = new Float64Array(columns);
  for (let n = 0; n < rows.length; n += 1) {
    const row = rows[n]!;
    for (let i = 0; i < columns; i += 1) {
      own[i]! += row[i]! * right[n]!;
      for (let j = 0; j <= i; j += 1) products[i]![j]! += row[i]! * row[j]!;
    }
  }
  const sizes = products.map((row, i) => Math.sqrt(row[i]!) || 1);
  const scaled = (i: number, j: number) =>
    products[Math.max(i, j)]![Math.min(i, j)]! / (sizes[i]! * sizes[j]!);
  return {
    sizes,
    products: sizes.map((_, i) => sizes.map((_, j) => scaled(i, j))),
    right: sizes.map((size, i) => own[i]! / size),
  };
}

function fitOver(
  rows: readonly (readonly number[])[],
  right: readonly number[],
  normal: NormalEquations,
  active: readonly number[],
): NonNegativeFit | null {
  const lower = cholesky(active.map((i) => active.map((j) => normal.products[i]![j]!)));
  if (!lower.every((row, i) => row[i]! ** 2 > ALIKE)) return null;
  const found = solveCholesky(
    lower,
    active.map((i) => normal.right[i]!),
  );
  if (!found.every((value) => value > 0)) return null;
  const coefficients = normal.sizes.map(() => 0);
  active.forEach((i, k) => {
    coefficients[i] = found[k]! / normal.sizes[i]!;
  });
  // Deviation by deviation: of the products alone nothing would be left where the fit is nearly exact.
  let scatter = 0;
  for (let n = 0; n < rows.length; n += 1) scatter += (dot(rows[n]!, coefficients) - right[n]!) ** 2;
  const leverage = (row: readonly number[]) => {
    const scaled = active.map((i) => row[i]! / normal.sizes[i]!);
    return dot(scaled, solveCholesky(lower, scaled));
  };
  return { coefficients, active, scatter, leverage };
}

function dot(a: readonly number[], b: readonly number[]): number {
  let sum = 0;
  for (let i = 0; i < a.length; i += 1) sum += a[i]! * b[i]!;
  return sum;
}

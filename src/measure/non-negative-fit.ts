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
  let best: NonNegativeFit | null = null;
  for (let set = 1; set < 2 ** columns; set += 1) {
    const active = Array.from({ length: columns }, (_, i) => i).filter((i) => (set >> i) & 1);
    const fit = active.length > rows.length ? null : fitOver(rows, right, active);
    if (fit && (!best || fit.scatter < best.scatter * (1 - 1e-9))) best = fit;
  }
  return best;
}

function fitOver(
  rows: readonly (readonly number[])[],
  right: readonly number[],
  active: readonly number[],
): NonNegativeFit | null {
  // Columns of very different size are made alike first, or the products lose all their digits.
  const sizes = active.map((i) => Math.sqrt(rows.reduce((sum, row) => sum + row[i]! ** 2, 0)) || 1);
  const scaled = (row: readonly number[]) => active.map((i, k) => row[i]! / sizes[k]!);
  const own = rows.map(scaled);
  const products = active.map((_, i) =>
    active.map((_, j) => own.reduce((sum, row) => sum + row[i]! * row[j]!, 0)),
  );
  const lower = cholesky(products);
  if (!lower.every((row, i) => row[i]! ** 2 > ALIKE)) return null;
  const found = solveCholesky(
    lower,
    active.map((_, i) => own.reduce((sum, row, n) => sum + row[i]! * right[n]!, 0)),
  );
  if (!found.every((value) => value > 0)) return null;
  const scatter = own.reduce((sum, row, n) => sum + (dot(row, found) - right[n]!) ** 2, 0);
  const coefficients = (rows[0] ?? []).map(() => 0);
  active.forEach((i, k) => {
    coefficients[i] = found[k]! / sizes[k]!;
  });
  const leverage = (row: readonly number[]) => dot(scaled(row), solveCholesky(lower, scaled(row)));
  return { coefficients, active, scatter, leverage };
}

const dot = (a: readonly number[], b: readonly number[]): number =>
  a.reduce((sum, x, i) => sum + x * b[i]!, 0);

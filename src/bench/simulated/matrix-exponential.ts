/** Square matrix, row by row. */
export type Matrix = readonly (readonly number[])[];

/** e^A of a small matrix by scaling and squaring a Taylor series. */
export function matrixExponential(a: Matrix): number[][] {
  const largest = Math.max(...a.map((row) => row.reduce((sum, x) => sum + Math.abs(x), 0)));
  const squarings = Math.max(0, Math.ceil(Math.log2(largest)) + 1);
  const scaled = a.map((row) => row.map((x) => x / 2 ** squarings));
  let term: number[][] = a.map((row, i) => row.map((_, j) => (i === j ? 1 : 0)));
  let sum = term;
  for (let n = 1; n <= 18; n += 1) {
    term = multiply(term, scaled).map((row) => row.map((x) => x / n));
    sum = sum.map((row, i) => row.map((x, j) => x + term[i]![j]!));
  }
  for (let n = 0; n < squarings; n += 1) sum = multiply(sum, sum);
  return sum;
}

function multiply(a: Matrix, b: Matrix): number[][] {
  return a.map((row) => b.map((_, j) => row.reduce((sum, x, k) => sum + x * b[k]![j]!, 0)));
}

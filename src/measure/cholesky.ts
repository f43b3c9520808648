/** Lower triangle L of a symmetric positive definite matrix, L times its transpose giving the matrix. */
export function cholesky(matrix: readonly (readonly number[])[]): number[][] {
  const lower = matrix.map((row) => row.map(() => 0));
  for (let i = 0; i < matrix.length; i++) {
    for (let j = 0; j <= i; j++) {
      let sum = matrix[i]![j]!;
      for (let k = 0; k < j; k++) sum -= lower[i]![k]! * lower[j]![k]!;
      lower[i]![j] = i === j ? Math.sqrt(sum) : sum / lower[j]![j]!;
    }
  }
  return lower;
}

/** Solves L times its transpose times x = right, for L from `cholesky`. */
export function solveCholesky(lower: readonly (readonly number[])[], right: readonly number[]): number[] {
  const x = [...right];
  for (let i = 0; i < x.length; i++) {
    for (let k = 0; k < i; k++) x[i] = x[i]! - lower[i]![k]! * x[k]!;
    x[i] = x[i]! / lower[i]![i]!;
  }
  for (let i = x.length - 1; i >= 0; i--) {
    for (let k = i + 1; k < x.length; k++) x[i] = x[i]! - lower[k]![i]! * x[k]!;
    x[i] = x[i]! / lower[i]![i]!;
  }
  return x;
}

import { describe, expect, it } from 'vitest';
import { cholesky, solveCholesky } from '../../src/measure/cholesky.js';

// Lower triangle worked by hand: [2], [6 1], [-8 5 3].
const MATRIX = [
  [4, 12, -16],
  [12, 37, -43],
  [-16, -43, 98],
];

describe('cholesky', () => {
  it('gives the lower triangle', () => {
    expect(cholesky(MATRIX)).toEqual([
      [2, 0, 0],
      [6, 1, 0],
      [-8, 5, 3],
    ]);
  });
});

describe('solveCholesky', () => {
  it('solves for every right side', () => {
    const solution = [1, -2, 3];
    const right = MATRIX.map((row) => row.reduce((sum, a, i) => sum + a * solution[i]!, 0));
    solveCholesky(cholesky(MATRIX), right).forEach((x, i) => {
      expect(x).toBeCloseTo(solution[i]!, 12);
    });
  });
});

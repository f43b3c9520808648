import { describe, expect, it } from 'vitest';
import { exceededBelow } from '../../../src/judgement/bounds/exceeded-below.js';
import { trialsOf } from '../../../src/judgement/bounds/trials.js';
import { madeRun } from '../made-run.js';

/** One step's readings at one setting, as watts and percent, with U as a share of the power. */
const visit = (looks: readonly (readonly [number, number])[], share = 0.01) =>
  trialsOf(
    madeRun([
      {
        ...{ step: 's', kind: 'climb', nominal_Hz: 1000, share },
        trials: looks.map(([power_W, percent]) => ({ power_W, percent })),
      },
    ]),
    'THD+N',
  );
const over = (...powers_W: number[]) => visit(powers_W.map((power_W) => [power_W, 2] as const));
/** Keeps 1 % up to 100 W. */
const TOP = visit([
  [50, 0.5],
  [100, 0.5],
  [70, 0.5],
]);

describe('exceededBelow', () => {
  it('is nothing where the limit is kept nowhere, or exceeded nowhere', () => {
    expect(exceededBelow([over(20, 30)], 1)).toEqual([]);
    expect(exceededBelow([TOP], 1)).toEqual([]);
    expect(exceededBelow([], 1)).toEqual([]);
  });

  it('follows the curve of a step that comes to keep the limit', () => {
    const [[low_W, high_W]] = exceededBelow(
      [
        visit([
          [10, 2],
          [20, 2],
          [40, 0.5],
          [100, 0.5],
        ]),
      ],
      1,
    ) as [[number, number]];
    expect(low_W).toBe(10);
    // The line from 2 % to 0.5 % passes 1 % half-way in decibels of distortion: sqrt(20 * 40) in watts.
    expect(high_W).toBeCloseTo(Math.sqrt(20 * 40), 9);
  });

  it('goes from the lowest to the highest reading of a step that never keeps it', () => {
    expect(exceededBelow([TOP, over(30, 20, 25)], 1)).toEqual([[20, 30]]);
    expect(exceededBelow([over(80), TOP], 1)).toEqual([[80, 80]]);
  });

  it('takes readings on either side of the limit at one power for its crossing, and what lies above for no gap', () => {
    expect(exceededBelow([TOP, over(97.6)], 1)).toEqual([[97.6, 97.6]]);
    expect(exceededBelow([TOP, over(97.8)], 1)).toEqual([]);
    expect(exceededBelow([TOP, over(120)], 1)).toEqual([]);
    expect(exceededBelow([TOP, over(60, 120)], 1)).toEqual([[60, 60]]);
    const unsure = visit([[100, 0.5]], 0.05);
    expect(exceededBelow([unsure, over(94.9)], 1)).toEqual([[94.9, 94.9]]);
    expect(exceededBelow([unsure, over(95.1)], 1)).toEqual([]);
  });

  it('joins stretches that meet to 2.3 %, in whatever order the steps came', () => {
    expect(exceededBelow([over(30.6, 40), over(20, 30), TOP], 1)).toEqual([[20, 40]]);
    expect(exceededBelow([over(20, 30), over(22, 25), TOP], 1)).toEqual([[20, 30]]);
    expect(exceededBelow([over(31, 40), over(20, 30), TOP], 1)).toEqual([
      [20, 30],
      [31, 40],
    ]);
  });
});

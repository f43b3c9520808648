import { expect, test } from 'vitest';
import type { Chart } from '../../../src/document/model/block.js';
import { claimsInText, renderChartText } from '../../../src/document/text/render-chart.js';

const CHART: Chart = {
  id: 'x',
  title: 'x',
  x: { name: 'x', unit: 'W', scale: 'linear', from: 0, to: 20 },
  y: { name: 'y', unit: 'W', scale: 'linear', from: 0, to: 20 },
  curves: [
    {
      name: 'one',
      points: [
        { x: 0, y: 0 },
        { x: 10, y: 10 },
      ],
    },
    {
      name: 'two',
      points: [
        { x: 10, y: 10 },
        { x: 5, y: 15 },
        { x: 5, y: 15 },
      ],
    },
    { name: 'unseen', sign: '', points: [{ x: 15, y: 15 }] },
  ],
  guides: [
    { name: '20 W', look: 'limit', at: { y: 20 } },
    { name: 'claim 19 W', look: 'claim', at: { x: 19 } },
  ],
  marks: [],
  words: '',
};

test('dots, limits and the claim stand where the axes put them', () => {
  // 21 columns for 0 to 20, 5 rows for 0 to 20.
  expect(renderChartText(CHART, { width: 33, rows: 5 })).toEqual([
    '      20 W |...................:.',
    '      15 W |     2             :',
    '      10 W |          *        :',
    '       5 W |                   :',
    '       0 W |1                  :',
    '           ++----+----+----+----+',
    // Names stand two columns apart at least.
    '           0 W  5 W      15 W',
  ]);
  expect(claimsInText(CHART)).toBe('; colons: claim 19 W');
});

test('no row is wider than was asked for', () => {
  for (const width of [40, 57, 80, 110]) {
    const rows = renderChartText(
      { ...CHART, x: { ...CHART.x, scale: 'log', from: 0.05 } },
      { width, rows: 5 },
    );
    expect(Math.max(...rows.map((row) => row.length))).toBeLessThanOrEqual(width);
  }
});

test('a chart without a point that has a place is no picture', () => {
  const curves = [{ name: 'one', points: [{ x: Number.NaN, y: 3 }] }];
  expect(renderChartText({ ...CHART, curves }, { width: 80 })).toEqual([]);
});

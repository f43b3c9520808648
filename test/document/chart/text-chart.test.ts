import { expect, test } from 'vitest';
import { linearAxis, logAxis } from '../../../src/document/chart/text-axis.js';
import { textChart } from '../../../src/document/chart/text-chart.js';

const name = (value: number) => `${value} W`;

test('dots, levels and the claim stand where the axes put them', () => {
  // 21 columns for 0 to 20, 5 rows for 0 to 20.
  const chart = textChart({
    across: linearAxis([0, 20], name),
    up: linearAxis([0, 20], name),
    dots: [
      { x: 0, y: 0, ink: '1' },
      { x: 10, y: 10, ink: '1' },
      { x: 10, y: 10, ink: '2' },
      { x: 5, y: 15, ink: '2' },
      { x: 5, y: 15, ink: '2' },
      { x: 30, y: 5, ink: '3' },
    ],
    levels: [20],
    claimAcross: 19,
    width: 33,
    rows: 5,
  });
  expect(chart).toEqual([
    '      20 W |...................:.',
    '      15 W |     2             :',
    '      10 W |          *        :',
    '       5 W |                   :',
    '       0 W |1                  :',
    '           ++----+----+----+----+',
    // Names stand two columns apart at least.
    '           0 W  5 W      15 W',
  ]);
});

test('no row is wider than was asked for', () => {
  for (const width of [40, 57, 80, 110]) {
    const axis = logAxis([0.05, 200], name);
    const rows = textChart({ across: axis, up: axis, dots: [{ x: 200, y: 200, ink: '1' }], width, rows: 5 });
    expect(Math.max(...rows.map((row) => row.length))).toBeLessThanOrEqual(width);
  }
});

import { expect, test } from 'vitest';
import { linearScale, logScale } from '../../../src/view/live/client/scale.js';

const labels = (scale: { ticks: readonly { label: string }[] }) =>
  scale.ticks.map(({ label }) => label).filter((label) => label !== '');

test('a logarithmic axis holds its values between round ends and names its decades', () => {
  const scale = logScale([0.05, 120], 'W');
  expect(scale.ticks[0]!.at).toBeCloseTo(0.05, 12);
  expect(scale.ticks.at(-1)!.at).toBeCloseTo(200, 9);
  expect(labels(scale)).toEqual(['100 mW', '1 W', '10 W', '100 W']);
  // Closed form: lg(1 / 0.05) / lg(200 / 0.05).
  expect(scale.place(1)).toBeCloseTo(Math.log(20) / Math.log(4000), 12);
  expect([scale.place(0.05), scale.place(200)]).toEqual([expect.closeTo(0, 12), expect.closeTo(1, 12)]);
});

test('a logarithmic axis is as long as it must be, also for one value and for none', () => {
  for (const values of [[3], [], [0, Number.NaN]]) {
    const { ticks } = logScale(values, '%', 2);
    expect(ticks.at(-1)!.at / ticks[0]!.at).toBeGreaterThanOrEqual(100 * (1 - 1e-9));
  }
});

test('what is zero or less lies below a logarithmic axis and not at infinity', () => {
  expect(logScale([1, 10], 'W').place(0)).toBeCloseTo(-1, 12);
});

test('a linear axis names round values that hold all of its own', () => {
  const scale = linearScale([0, 47], 's');
  expect(labels(scale)).toEqual(['0 s', '10 s', '20 s', '30 s', '40 s', '50 s']);
  expect(scale.place(25)).toBeCloseTo(0.5, 12);
  expect(labels(linearScale([0, 600], 's')).slice(0, 3)).toEqual(['0 s', '2 min', '4 min']);
});

test('a level that stands lies in the middle of a span of the size asked for', () => {
  const scale = linearScale([100, 100], 'W', 20);
  expect(scale.place(100)).toBeCloseTo(0.5, 1);
  expect(scale.ticks.at(-1)!.at - scale.ticks[0]!.at).toBeGreaterThanOrEqual(20);
});

test('thousands of values are no more than an engine takes', () => {
  const many = Array.from({ length: 300_000 }, (_, i) => i + 1);
  expect(linearScale(many, 'Hz').place(150_000)).toBeCloseTo(0.5, 1);
  expect(logScale(many, 's').place(1)).toBeCloseTo(0, 12);
});

import { expect, test } from 'vitest';
import { shareOn } from '../../src/document/chart/axis.js';
import { axesOf } from '../../src/document/chart/plot.js';
import type { Chart } from '../../src/document/model/block.js';
import type { Dot, ViewCurve } from '../../src/view/run-view.js';
import { stepCharts } from '../../src/view/step-charts.js';

const curve = (stepKind: ViewCurve['stepKind'], dots: readonly Dot[]): ViewCurve => ({
  step: 'it',
  stepKind,
  load_ohm: 8,
  driven: [1, 2],
  thresholds_percent: [0.1],
  dots,
});

const dot = (
  channel: number,
  frequency_Hz: number,
  power_W: number,
  thdn_percent: number,
  at_s = 0,
): Dot => ({
  channel,
  frequency_Hz,
  power_W,
  thdn_percent,
  at_s,
});

const places = ({ curves }: Chart) => curves.map(({ points }) => points.map(({ x, y }) => [x, y]));
const latest = ({ marks }: Chart) =>
  marks.filter(({ shape }) => shape === 'latest').map(({ x, y }) => [x, y]);

test('a climb is drawn from little to much power in whatever order it was played, its last reading known', () => {
  const dots = [dot(1, 997, 1, 0.01), dot(2, 997, 1.1, 0.02), dot(1, 997, 4, 2), dot(1, 997, 2, 0.05)];
  const [chart, ...none] = stepCharts(curve('climb', dots), 3);
  expect(none).toEqual([]);
  expect(places(chart!)).toEqual([
    [
      [1, 0.01],
      [2, 0.05],
      [4, 2],
    ],
    [[1.1, 0.02]],
  ]);
  expect(latest(chart!)).toEqual([
    [2, 0.05],
    [1.1, 0.02],
  ]);
  expect(chart!.guides).toEqual([
    { name: '0.1 %', look: 'limit', at: { y: 0.1 } },
    { name: 'claim 3 W', look: 'claim', at: { x: 3 } },
  ]);
});

test('a search joins the highest power of each frequency that keeps the limit and leaves what was tried loose', () => {
  const dots = [dot(1, 1000, 10, 0.02), dot(1, 1000, 30, 0.5), dot(1, 1000, 20, 0.09), dot(1, 20, 5, 0.2)];
  const [chart] = stepCharts(curve('max-power', dots), null);
  expect(places(chart!)).toEqual([
    [[1000, 20]],
    [
      [1000, 10],
      [1000, 30],
      [20, 5],
    ],
  ]);
  expect(chart!.curves[1]).toMatchObject({ look: 'dots', sign: '' });
  expect(latest(chart!)).toEqual([[20, 5]]);
});

test.each([
  ['sweep', ['THD+N against frequency', 'Power against frequency'], 1000],
  ['hold', ['Power against time', 'THD+N against time'], 0],
  ['warm-up', ['Power against time', 'THD+N against time'], 0],
] as const)('a %s has two charts: its level and its distortion', (kind, titles, x) => {
  const charts = stepCharts(curve(kind, [dot(1, 1000, 10, 0.02, 7)]), 10.5);
  expect(charts.map(({ title }) => title)).toEqual(titles);
  for (const chart of charts)
    expect(latest(chart)).toEqual([[x, chart.title.startsWith('Power') ? 10 : 0.02]]);
});

test('a reading that carries a flag is hollow', () => {
  const [chart] = stepCharts(curve('climb', [{ ...dot(1, 997, 1, 0.01), doubtful: true }]), null);
  expect(chart!.curves[0]!.points[0]!.doubtful).toBe(true);
});

test('everything drawn lies within its chart', () => {
  const dots = Array.from({ length: 60 }, (_, i) =>
    dot((i % 2) + 1, 20 * 1.12 ** i, 0.05 * 1.15 ** i, 0.002 + i / 40, i),
  );
  for (const kind of ['climb', 'max-power', 'sweep', 'hold'] as const)
    for (const chart of stepCharts(curve(kind, dots), 150)) {
      const { across, up } = axesOf(chart);
      const points = chart.curves.flatMap((one) => one.points);
      expect(points.length).toBe(60);
      const shares = [
        ...points.flatMap(({ x, y }) => [shareOn(across, x), shareOn(up, y)]),
        ...chart.guides.map(({ at }) =>
          'x' in at ? shareOn(across, at.x) : 'y' in at ? shareOn(up, at.y) : 0,
        ),
      ];
      for (const share of shares) {
        expect(share).toBeGreaterThanOrEqual(-1e-9);
        expect(share).toBeLessThanOrEqual(1 + 1e-9);
      }
    }
});

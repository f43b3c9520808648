import { expect, test } from 'vitest';
import { panelsOf } from '../../../src/view/live/client/panels.js';
import type { Dot, ViewCurve } from '../../../src/view/run-view.js';

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

test('a climb is drawn from little to much power in whatever order it was played, its last reading known', () => {
  const dots = [dot(1, 997, 1, 0.01), dot(2, 997, 1.1, 0.02), dot(1, 997, 4, 2), dot(1, 997, 2, 0.05)];
  const [panel, ...none] = panelsOf(curve('climb', dots), 3);
  expect(none).toEqual([]);
  expect(panel!.series).toEqual([
    {
      channel: 1,
      line: [
        [1, 0.01],
        [2, 0.05],
        [4, 2],
      ],
      loose: [],
      last: [2, 0.05],
    },
    { channel: 2, line: [[1.1, 0.02]], loose: [], last: [1.1, 0.02] },
  ]);
  expect(panel!.across.map(({ label }) => label)).toEqual(['0.1 %']);
  expect(panel!.upright).toEqual([{ at: 3, label: 'claim 3.00 W', kind: 'claim' }]);
});

test('a ceiling joins the most power of each frequency that keeps the threshold and leaves what was tried loose', () => {
  const dots = [dot(1, 1000, 10, 0.02), dot(1, 1000, 30, 0.5), dot(1, 1000, 20, 0.09), dot(1, 20, 5, 0.2)];
  const [panel] = panelsOf(curve('max-power', dots), null);
  expect(panel!.series[0]).toEqual({
    channel: 1,
    line: [[1000, 20]],
    loose: [
      [1000, 10],
      [1000, 30],
      [20, 5],
    ],
    last: [20, 5],
  });
});

test.each([
  ['sweep', ['THD+N over frequency', 'Power over frequency'], 1000],
  ['hold', ['Power over time', 'THD+N over time'], 7],
  ['warm-up', ['Power over time', 'THD+N over time'], 7],
] as const)('a %s has two panels: its level and its distortion', (kind, titles, x) => {
  const panels = panelsOf(curve(kind, [dot(1, 1000, 10, 0.02, 7)]), 10.5);
  expect(panels.map(({ title }) => title)).toEqual(titles);
  for (const { series, title } of panels)
    expect(series[0]!.last).toEqual([x, title.startsWith('Power') ? 10 : 0.02]);
});

test('everything drawn lies within its panel', () => {
  const dots = Array.from({ length: 60 }, (_, i) =>
    dot((i % 2) + 1, 20 * 1.12 ** i, 0.05 * 1.15 ** i, 0.002 + i / 40, i),
  );
  for (const kind of ['climb', 'max-power', 'sweep', 'hold'] as const)
    for (const { series, x, y, across, upright } of panelsOf(curve(kind, dots), 150)) {
      const places = series.flatMap(({ line, loose }) => [...line, ...loose]);
      expect(places.length).toBe(60);
      const shares = [
        ...places.flatMap(([h, v]) => [x.place(h), y.place(v)]),
        ...across.map(({ at }) => y.place(at)),
        ...upright.map(({ at }) => x.place(at)),
      ];
      for (const share of shares) {
        expect(share).toBeGreaterThanOrEqual(-1e-9);
        expect(share).toBeLessThanOrEqual(1 + 1e-9);
      }
    }
});

import { describe, expect, test } from 'vitest';
import { SIZES, type SizeName } from '../../../src/document/chart/plot.js';
import { renderChart } from '../../../src/document/chart/render-svg.js';
import type { Chart } from '../../../src/document/model/block.js';
import { runCharts } from '../../../src/document/model/step-sections.js';
import { invented } from '../fixture.js';
import { inventedMatrix } from '../matrix-fixture.js';
import { isWellFormed } from '../well-formed.js';

const chartsOf = (record = inventedMatrix()) =>
  runCharts({ record, judged: { claims: [] }, floorAt: () => 0.002 });

const draw = (chart: Chart, size: SizeName = 'wide') => renderChart(chart, SIZES[size]);

describe.each(chartsOf().map((chart) => [chart.id, chart] as const))('the chart %s', (_, chart) => {
  const svg = draw({ ...chart, words: 'a "name" & more' });

  test('is well-formed XML', () => {
    expect(isWellFormed(svg)).toBe(true);
  });

  test('takes every colour from the page', () => {
    expect(svg.match(/#[0-9a-f]{3,8}\b|rgba?\(|hsl/gi)).toBeNull();
  });

  test('carries no script, no style sheet, no class and no outside reference', () => {
    expect(svg).not.toMatch(/<script|<style|href|url\((?!#)|\bclass=/);
  });

  test('is the same each time it is drawn', () => {
    expect(draw({ ...chart, words: 'a "name" & more' })).toBe(svg);
  });

  test('has a text in its place, and no place that is none', () => {
    expect(svg).toMatch(/^<svg [^>]*role="img" aria-label="[^"]+">/);
    expect(svg).not.toMatch(/NaN|Infinity|undefined/);
  });
});

/** Pixels of a plot by its margins and sizes: 54 at the left, 50 at the right for names, 34 above, 44 below. */
const WIDE = { left: 54, right: 860 - 50, top: 34, bottom: 440 - 44 };

/** Three points a decade apart, so that the axis is known: 10 W to 1000 W with a margin of 2 % of two decades. */
const DECADES: Chart = {
  id: 'decades',
  title: 'x',
  x: { name: 'Power, W', unit: 'W', scale: 'log', ends: 'close' },
  y: { name: 'THD+N, %', unit: '%', scale: 'log' },
  curves: [{ name: 'x', points: [10, 100, 1000].map((x) => ({ x, y: x / 1000, hint: `${x} W` })) }],
  guides: [{ name: '0.1 %', look: 'limit', at: { y: 0.1 } }],
  marks: [],
  words: 'x',
};
const [LOW, HIGH] = [1 - 0.04, 3 + 0.04];
const xOf = (power_W: number) =>
  WIDE.left + ((Math.log10(power_W) - LOW) / (HIGH - LOW)) * (WIDE.right - WIDE.left);
const places = (svg: string) =>
  [...svg.matchAll(/translate\(([\d.]+),([\d.]+)\)scale\(3\.5\)/g)].map(
    ([, x, y]) => [Number(x), Number(y)] as const,
  );

test('a marker stands where the axes say: halfway between 10 W and 1000 W is 100 W', () => {
  const [left, middle, right] = places(draw(DECADES));
  expect(left![0]).toBeCloseTo(xOf(10), 0);
  expect(middle![0]).toBeCloseTo((left![0] + right![0]) / 2, 1);
  expect(middle![1]).toBeCloseTo((left![1] + right![1]) / 2, 1);
});

test('points that no logarithm takes are left out', () => {
  const curves = [{ ...DECADES.curves[0]!, points: [...DECADES.curves[0]!.points, { x: 0, y: 1 }] }];
  expect(places(draw({ ...DECADES, curves }))).toHaveLength(3);
});

test('a point that the axis makes no room for has no marker, which would stand on what comes after the chart', () => {
  const far = { x: 50, y: 1e-9, hint: '50 W' };
  const curves = [{ ...DECADES.curves[0]!, points: [...DECADES.curves[0]!.points, far] }];
  const svg = draw({ ...DECADES, curves });
  expect(places(svg)).toEqual(places(draw(DECADES)));
  expect(svg).not.toContain('50 W');
});

test('a curve of many points carries few markers, so that a page stays small', () => {
  const points = Array.from({ length: 2000 }, (_, i) => ({ x: 1.003 ** i, y: 0.01, hint: 'a reading' }));
  const svg = draw({ ...DECADES, curves: [{ name: 'x', points }] });
  expect(places(svg).length).toBeLessThan(80);
  expect(svg.length).toBeLessThan(80_000);
});

test('a claim is a line from the bottom to the top of the plot, where the axis says, with its words', () => {
  const svg = draw({
    ...DECADES,
    guides: [...DECADES.guides, { name: 'claim 200 W', look: 'claim', at: { x: 200 } }],
  });
  const line =
    /<path d="M([\d.]+),([\d.]+)L([\d.]+),([\d.]+)" fill="none" stroke="var\(--ink\)" stroke-width="1.3" stroke-dasharray="7,4"/.exec(
      svg,
    )!;
  const [x1, y1, x2, y2] = line.slice(1).map(Number);
  expect(x1).toBeCloseTo(xOf(200), 0);
  expect(x2).toBe(x1);
  expect([y1, y2]).toEqual([WIDE.bottom, WIDE.top]);
  expect(svg).toMatch(/<text[^>]*>claim 200 W<\/text>/);
});

test('an uncertainty along a curve is a band as wide as it is: half of 0.01 % is 0.005 % to 0.015 %', () => {
  const points = [10, 100, 1000].map((x) => ({ x, y: 0.01, within: 0.005 }));
  const y = { ...DECADES.y, from: 0.001 };
  const svg = draw({ ...DECADES, y, curves: [{ name: 'x', points, uncertainty: 'band' }] });
  const band = /<path d="M([^"]*)Z" fill="var\(--line1\)" fill-opacity="\.17"/.exec(svg)![1]!;
  const edges = band.split('L').map((place) => place.split(',').map(Number));
  const marker = places(svg)[0]![1];
  expect(edges).toHaveLength(6);
  const [up, down] = [marker - edges[0]![1]!, edges.at(-1)![1]! - marker];
  // log10(1.5) up and log10(2) down, in decades of the same axis.
  expect(down / up).toBeCloseTo(Math.log10(2) / Math.log10(1.5), 1);
  expect(draw(DECADES)).not.toContain('fill-opacity');
});

test('powers that lie close together have decibels below the highest at the other side: 99 W is 0.044 dB below 100 W', () => {
  const y = { name: 'Power, W', unit: 'W', scale: 'linear', zooms: true } as const;
  const points = [100, 99, 97].map((power, i) => ({ x: 20 * 10 ** i, y: power }));
  const svg = draw({ ...DECADES, y, curves: [{ name: 'x', points }], guides: [] });
  const heights = [...svg.matchAll(/<text x="817" y="([\d.]+)" dy=".35em">([−\d.]+)<\/text>/g)].map(
    ([, at, name]) => [Number(name!.replace('−', '-')), Number(at)] as const,
  );
  const marks = places(svg);
  const pixelsPerWatt = (marks[2]![1] - marks[0]![1]) / 3;
  expect(heights.length).toBeGreaterThan(2);
  for (const [level_dB, height] of heights)
    expect(height).toBeCloseTo(marks[0]![1] + pixelsPerWatt * 100 * (1 - 10 ** (level_dB / 10)), 0);
});

/** Boxes of the labels with a rim, and the middles of markers, in pixels. */
function labelsAndMarkers(svg: string) {
  const labels = [
    ...svg.matchAll(
      /<text x="([\d.]+)" y="([\d.]+)" dy=".35em" font-size="12" text-anchor="(\w+)"[^>]*>([^<]*)</g,
    ),
  ].map(([, x, y, anchor, text]) => {
    const width = 6.2 * text!.length;
    const left =
      Number(x) - { start: 0, middle: width / 2, end: width }[anchor as 'start' | 'middle' | 'end'];
    return { text: text!, left, right: left + width, top: Number(y) - 6, bottom: Number(y) + 6 };
  });
  const markers = [...svg.matchAll(/translate\(([\d.]+),([\d.]+)\)scale\(/g)].map(([, x, y]) => [
    Number(x),
    Number(y),
  ]);
  return { labels, markers };
}

test.each(['narrow', 'middle', 'wide'] as const)('no label covers a marker or another label, %s', (size) => {
  for (const chart of [...chartsOf(), ...chartsOf(invented({ channels: 7 }))]) {
    const { labels, markers } = labelsAndMarkers(draw(chart, size));
    for (const box of labels) {
      const covered = markers.filter(
        ([x, y]) => x! > box.left && x! < box.right && y! > box.top && y! < box.bottom,
      );
      const crossed = labels.filter(
        (other) =>
          other !== box &&
          other.left < box.right &&
          box.left < other.right &&
          other.top < box.bottom &&
          box.top < other.bottom,
      );
      expect([chart.id, box.text, covered, crossed]).toEqual([chart.id, box.text, [], []]);
    }
  }
});

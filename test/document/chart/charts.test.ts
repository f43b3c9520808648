import { describe, expect, test } from 'vitest';
import { climbChart } from '../../../src/document/chart/climb-chart.js';
import { curveGroups } from '../../../src/document/chart/curves.js';
import { spectrumChart } from '../../../src/document/chart/spectrum-chart.js';
import { sweepPowerChart, sweepThdnChart } from '../../../src/document/chart/sweep-chart.js';
import { kneeOf } from '../../../src/measure/knee.js';
import type { RunRecord } from '../../../src/record/run-record.js';
import { invented } from '../fixture.js';
import { isWellFormed } from '../well-formed.js';

const record = invented();
const climb = (of: RunRecord) => curveGroups([of], 'climb')[0]!;
const sweep = curveGroups([record], 'sweep')[0]!;

const CHARTS: Readonly<Record<string, () => string>> = {
  climb: () => climbChart(climb(record), 'a', 'a "name" & more', 'wide'),
  thdn: () => sweepThdnChart(sweep, 'b', 'n', 'middle'),
  power: () => sweepPowerChart(sweep, 'c', 'n', 'narrow'),
  spectrum: () => spectrumChart(record.readings[40]!, 'd', 'n', 'middle'),
};

describe.each(Object.entries(CHARTS))('the %s chart', (_, draw) => {
  const svg = draw();

  test('is well-formed XML', () => {
    expect(isWellFormed(svg)).toBe(true);
  });

  test('takes every colour from the page', () => {
    const fixed = svg.match(/#[0-9a-f]{3,8}\b|rgba?\(|hsl/gi);
    expect(fixed).toBeNull();
  });

  test('carries no script, no style sheet, no class and no outside reference', () => {
    expect(svg).not.toMatch(/<script|<style|href|url\((?!#)|\bclass=/);
  });

  test('is the same each time it is drawn', () => {
    expect(draw()).toBe(svg);
  });

  test('has a text in its place', () => {
    expect(svg).toMatch(/^<svg [^>]*role="img" aria-label="[^"]+">/);
  });
});

const titles = (svg: string) =>
  [...svg.matchAll(/<title>([^<]*)<\/title>/g)].map((found) => found[1]!.replaceAll('\u00a0', ' '));

test('every reading of a climb has a marker that tells its values', () => {
  const shown = titles(CHARTS.climb!());
  const readings = record.readings.filter((reading) => reading.step === 'climb-1k');
  expect(shown.filter((title) => /V, THD\+N/.test(title))).toHaveLength(readings.length);
  expect(shown).toContain('channel 1: 50.0 mW ± 0.41 mW, 631.3 mV, THD+N 0.072 %; floor-limited');
});

test('crossings and knee are marked, the weakest channel in words', () => {
  const svg = CHARTS.climb!();
  const [mark] = record.results.filter((result) => result.kind === 'power-at-thdn' && result.channel === 2);
  expect(mark).toMatchObject({ threshold_percent: 0.1, power_W: expect.closeTo(87.67, 1) });
  expect(titles(svg)).toContain('channel 2: 87.7 W ± 0.72 W at 0.1 % THD+N');
  expect(svg).toMatch(/<text[^>]*>87\.7 W<\/text>/);
  expect(svg).not.toMatch(/<text[^>]*>88\.9 W<\/text>/);
  expect(svg).toMatch(/<text[^>]*>knee 75\.4 W<\/text>/);
});

test('a marker stands where the axes say: halfway between 10 W and 1000 W is 100 W', () => {
  const [first] = record.readings;
  const powers = [10, 100, 1000];
  const readings = powers.map((power_W) => ({
    ...first!,
    channel: 1,
    power_W,
    thdn_percent: power_W / 100,
    flags: [],
  }));
  const group = { ...climb(record), curves: [{ run: 1, label: 'x', channel: 1, readings, results: [] }] };
  const svg = climbChart(group, 'e', 'n', 'wide');
  const places = [...svg.matchAll(/translate\(([\d.]+),([\d.]+)\)scale\(3\.5\)/g)];
  const [left, middle, right] = places.map((found) => [Number(found[1]), Number(found[2])]);
  expect(middle![0]).toBeCloseTo((left![0]! + right![0]!) / 2, 1);
  expect(middle![1]).toBeCloseTo((left![1]! + right![1]!) / 2, 1);
});

test('a curve of many readings carries few markers, so that a page stays small', () => {
  const svg = climbChart(climb(invented({ channels: 1, climbPoints: 2000 })), 'f', 'n', 'wide');
  expect(titles(svg).length).toBeLessThan(80);
  expect(svg.length).toBeLessThan(80_000);
});

test('readings that no logarithm takes are left out of the chart', () => {
  const readings = record.readings.map((reading, i) => (i === 4 ? { ...reading, power_W: 0 } : reading));
  const svg = climbChart(climb({ ...record, readings }), 'g', 'n', 'wide');
  expect(svg).not.toMatch(/NaN|Infinity/);
});

/** Pixels of a plot by its margins and sizes: 54 at the left, 50 at the right, 34 above, 46 below. */
const WIDE = { left: 54, right: 860 - 50, top: 34, bottom: 440 - 46 };

/** Three readings a decade apart, so that the axis is known: 10 W to 1000 W with a margin of 3 % of two decades. */
function threeDecades(thdn_uncertainty_percent: number | null) {
  const readings = [10, 100, 1000].map((power_W) => ({
    ...record.readings[0]!,
    channel: 1,
    power_W,
    thdn_percent: 0.01,
    thdn_uncertainty_percent,
    flags: [],
  }));
  return { ...climb(record), curves: [{ run: 1, label: 'x', channel: 1, readings, results: [] }] };
}
const [LOW, HIGH] = [1 - 0.06, 3 + 0.06];
const xOf = (power_W: number) =>
  WIDE.left + ((Math.log10(power_W) - LOW) / (HIGH - LOW)) * (WIDE.right - WIDE.left);

test('a claimed power is a line from the bottom to the top of the plot, where the axis says, with its words', () => {
  const claims = [{ power_W: 200, words: 'claim 200 W' }];
  const svg = climbChart(threeDecades(null), 'h', 'n', 'wide', { claims });
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

test('the uncertainty of THD+N is a band around the curve, as wide as it is: half of 0.01 % is 0.005 % to 0.015 %', () => {
  const svg = climbChart(threeDecades(0.005), 'i', 'n', 'wide');
  const band = /<path d="M([^"]*)Z" fill="var\(--line1\)" fill-opacity="\.17"/.exec(svg)![1]!;
  const places = band.split('L').map((place) => place.split(',').map(Number));
  const marker = Number(/translate\([\d.]+,([\d.]+)\)scale\(3\.5\)/.exec(svg)![1]);
  expect(places).toHaveLength(6);
  const [up, down] = [marker - places[0]![1]!, places.at(-1)![1]! - marker];
  // log10(1.5) up and log10(2) down, in decades of the same axis.
  expect(down / up).toBeCloseTo(Math.log10(2) / Math.log10(1.5), 1);
  expect(climbChart(threeDecades(null), 'i', 'n', 'wide')).not.toContain('fill-opacity');
});

test('knee and plateau are named, with what governs the plateau', () => {
  const svg = CHARTS.climb!();
  expect(svg).toMatch(/<text[^>]*>plateau 0\.00\d+ %, harmonics<\/text>/);
  expect(svg).toMatch(/stroke="var\(--ink\)" stroke-width="1.3" stroke-dasharray="2,2"/);
});

test("a spectrum shows the band's sum of the reading and that of the bench, 20 dB apart for a tenth", () => {
  const reading = { ...record.readings[40]!, thdn_percent: 0.1 };
  const heights = [
    ...spectrumChart(reading, 'j', 'n', 'middle', 0.01).matchAll(
      /<path d="M[\d.]+,([\d.]+)L[\d.]+,[\d.]+" fill="none" stroke="var\(--ink\)"/g,
    ),
  ].map((found) => Number(found[1]));
  expect(heights).toHaveLength(2);
  const svg = spectrumChart(reading, 'j', 'n', 'middle', 0.01);
  const twenty = [...svg.matchAll(/<text x="47" y="([\d.]+)"[^>]*>(−\d+|0)<\/text>/g)].map((found) =>
    Number(found[1]),
  );
  expect(heights[1]! - heights[0]!).toBeCloseTo(Math.abs(twenty[1]! - twenty[0]!), 0);
  expect(svg).toContain('own THD+N 0.01 %');
  expect(spectrumChart(reading, 'j', 'n', 'middle', null)).not.toContain('own THD+N');
});

test('the floor of the bench is drawn behind a climb where it is stated', () => {
  const floorAt = () => 0.005;
  expect(climbChart(threeDecades(null), 'k', 'n', 'wide', { floorAt })).toContain('own</text>');
  expect(climbChart(threeDecades(null), 'k', 'n', 'wide')).not.toContain('own</text>');
});

/** Noise that falls with the voltage, 0.02 % at 1 W, and then a wall of clipping from 20 W. */
function fallingFlat() {
  const powers = [...Array.from({ length: 13 }, (_, i) => 10 ** (0.1 * i)), 20, 20.5, 21];
  const readings = powers.map((power_W, i) => ({
    ...record.readings[0]!,
    point: i + 1,
    channel: 1,
    power_W,
    thdn_percent: power_W < 20 ? 0.02 / Math.sqrt(power_W) : 0.02 * 10 ** (power_W - 20),
    thdn_uncertainty_percent: null,
    flags: [],
  }));
  const { found } = kneeOf(readings.map((reading) => ({ ...reading, noise_percent: 0 })));
  const of = { kind: 'knee', step: 'x', channel: 1, driven: [1], load_ohm: 8, frequency_Hz: 1000 } as const;
  const { power_W } = found!;
  const results = [{ ...of, power_W, plateau_percent: null, governed_by: null, hardness_dB: null, note: '' }];
  return { ...climb(record), curves: [{ run: 1, label: 'x', channel: 1, readings, results }] };
}

test('the dotted line is the trend of the lower levels, continued to the knee: noise falling as a straight line lies on it', () => {
  const svg = climbChart(fallingFlat(), 'l', 'n', 'wide');
  const line = /<path d="M([^"]+)"[^>]*stroke-dasharray="2,2"/
    .exec(svg)![1]!
    .split('L')
    .map((place) => place.split(',').map(Number) as [number, number]);
  const places = [...svg.matchAll(/translate\(([\d.]+),([\d.]+)\)scale\(3\.5\)/g)].map(
    ([, x, y]) => [Number(x), Number(y)] as const,
  );
  const flat = places.slice(0, 13);
  const [[x1, y1], [x2, y2]] = [line[0]!, line.at(-1)!];
  expect(x1).toBe(flat[0]![0]);
  for (const [x, y] of flat) expect(y1 + ((y2 - y1) * (x - x1)) / (x2 - x1)).toBeCloseTo(y, 0);
  expect(x2).toBeGreaterThan(flat.at(-1)![0]);
  expect(y2).toBeGreaterThan(flat.at(-1)![1]);
});

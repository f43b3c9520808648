import { describe, expect, test } from 'vitest';
import type { RunRecord } from '../../../src/record/run-record.js';
import { climbChart } from '../../../src/report/chart/climb-chart.js';
import { spectrumChart } from '../../../src/report/chart/spectrum-chart.js';
import { sweepPowerChart, sweepThdnChart } from '../../../src/report/chart/sweep-chart.js';
import { curveGroups } from '../../../src/report/curves.js';
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

  test('carries no script, no style sheet, no outside reference, and no running number of the library', () => {
    expect(svg).not.toMatch(/<script|<style|href|url\((?!#)|zr\d|ecmeta|\bclass=/);
  });

  test('is the same each time it is drawn', () => {
    expect(draw()).toBe(svg);
  });

  test('has a text in its place', () => {
    expect(svg).toMatch(/^<svg [^>]*role="img" aria-label="[^"]+">/);
  });
});

const titles = (svg: string) => [...svg.matchAll(/<title>([^<]*)<\/title>/g)].map((found) => found[1]!);

test('every reading of a climb has a marker that tells its values', () => {
  const shown = titles(CHARTS.climb!());
  const readings = record.readings.filter((reading) => reading.step === 'climb-1k');
  expect(shown.filter((title) => title.includes('THD+N'))).toHaveLength(readings.length);
  expect(shown).toContain('channel 1: 50.0 mW, THD+N 0.072 %; floor-limited');
});

test('crossings and knee are marked, the weakest channel in words', () => {
  const svg = CHARTS.climb!();
  const [mark] = record.results.filter((result) => result.kind === 'power-at-thdn' && result.channel === 2);
  expect(mark).toMatchObject({ threshold_percent: 0.1, power_W: expect.closeTo(87.67, 1) });
  expect(titles(svg)).toContain('channel 2: 87.7 W at 0.1 %');
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

import { expect, test } from 'vitest';
import { captionOf } from '../../../../src/document/chart/figure.js';
import type { Chart } from '../../../../src/document/model/block.js';
import { climbCharts } from '../../../../src/document/model/charts/climb-chart.js';
import { chosenSpectra, spectrumChart } from '../../../../src/document/model/charts/spectrum-chart.js';
import { stepReadings } from '../../../../src/document/model/charts/step-readings.js';
import { sweepCharts } from '../../../../src/document/model/charts/sweep-chart.js';
import { runCharts } from '../../../../src/document/model/step-sections.js';
import type { RunRecord } from '../../../../src/record/run-record.js';
import { interruptedAtPoint3, invented, withoutReadings } from '../../fixture.js';
import { inventedMatrix } from '../../matrix-fixture.js';

const record = invented();
const ground = (of: RunRecord) => ({ record: of, judged: { claims: [] }, floorAt: () => null });
const climb = (of: RunRecord): Chart => climbCharts(ground(of))[0]!;
const plain = (text: string) => text.replaceAll('\u00a0', ' ');

test('the curves of a climb run from low to high power although its points did not, every reading with its values', () => {
  const { curves } = climb(record);
  expect(curves.map(({ name }) => name)).toEqual(['channel 1', 'channel 2']);
  for (const { points } of curves) {
    const powers = points.map(({ x }) => x);
    expect(powers).toEqual(powers.toSorted((a, b) => a - b));
    expect(points).toHaveLength(30);
  }
  expect(plain(curves[0]!.points[0]!.hint!)).toBe(
    'channel 1: 50.0 mW ± 0.4 mW, 631.3 mV, THD+N 0.072 %; floor-limited',
  );
});

test('limits that are reached are rings and the knee a diamond, in words for the weakest channel', () => {
  const { marks, guides } = climb(record);
  expect(guides.filter(({ look }) => look === 'limit').map(({ name }) => name)).toEqual(['0.1 %', '1 %']);
  const rings = marks.filter(({ shape }) => shape === 'ring');
  expect(rings.map(({ ink, label }) => [ink, label])).toEqual([
    [0, []],
    [0, []],
    [1, ['87.7 W']],
    [1, ['93.2 W']],
  ]);
  expect(plain(rings[2]!.hint)).toMatch(/^channel 2: 87\.7 W ± 0\.7 W at 0\.1 % THD\+N$/);
  const [knee] = marks.filter(({ shape, label }) => shape === 'diamond' && label.length > 0);
  expect(knee!.label).toEqual(['knee 75.4 W', expect.stringMatching(/^plateau 0\.00\d+ %, harmonics$/)]);
});

test('the residual of the bench is drawn where it is stated', () => {
  const [chart] = climbCharts({ ...ground(record), floorAt: () => 0.005 });
  expect(chart!.guides.find(({ look }) => look === 'floor')!.name).toBe('residual of the bench');
  expect(climb(record).guides.map(({ look }) => look)).not.toContain('floor');
});

test('a sweep is drawn against nominal frequencies, with the loss of power in decibels', () => {
  const [thdn, power] = sweepCharts(ground(record));
  expect(thdn!.curves[0]!.points[0]!.x).toBeCloseTo(20, 1);
  // 10 lg(88.9 / 58.6), by the powers that stand in the caption.
  expect(power!.words).toMatch(/^Lowest 58\.6 W at 20 Hz \(channel 2\): 1\.81 dB below the highest, 88\.9 W/);
});

test('the place where the measuring band becomes wider is marked on THD+N against frequency, and said', () => {
  const widened = {
    ...record,
    readings: record.readings.map((reading) => ({
      ...reading,
      band_Hz: [20, reading.frequency_Hz > 6000 ? 4 * reading.frequency_Hz : 20_000] as const,
    })),
  };
  const [thdn, power] = sweepCharts(ground(widened));
  const [guide] = thdn!.guides.filter(({ name }) => name === 'wider band');
  const { x } = guide!.at as { readonly x: number };
  const nominals = thdn!.curves[0]!.points.map((point) => point.x);
  expect(nominals.filter((at) => at < x).at(-1)).toBeLessThanOrEqual(6000);
  expect(nominals.find((at) => at > x)).toBeGreaterThan(6000);
  expect(thdn!.words).toMatch(/From \S+ kHz on the measuring band reaches beyond 20 kHz/);
  expect(power!.guides).toEqual([]);
  expect(sweepCharts(ground(record))[0]!.guides).toEqual([]);
});

test('a caption says that an axis does not begin at zero only where it does not', () => {
  for (const chart of runCharts(ground(inventedMatrix()))) {
    const y = chart.curves.flatMap(({ points }) => points.map((point) => point.y));
    const close = chart.y.zooms === true && Math.max(...y) / Math.min(...y) < 1.5;
    expect([chart.id, captionOf(chart).includes('does not begin at zero')]).toEqual([chart.id, close]);
  }
});

test('the causes of a fall are numbered at their points, with their evidence below', () => {
  const chart = runCharts(ground(inventedMatrix())).find(({ notes }) => notes && notes.length > 0)!;
  expect(chart.marks.map(({ x, label }) => [x, label])).toEqual([[20, ['1']]]);
  expect(chart.notes![0]).toMatch(
    /^20 Hz, channel 2: supply sag \(0\.87\), then rail clipping \(0\.13\)\. The tops move/,
  );
});

test('every chart has an id of its own', () => {
  const ids = runCharts(ground(inventedMatrix())).map(({ id }) => id);
  expect(new Set(ids).size).toBe(ids.length);
});

test('a run without readings draws nothing', () => {
  expect(runCharts(ground(withoutReadings()))).toEqual([]);
});

const chosen = (of: RunRecord) => chosenSpectra(stepReadings(of, 'climb')[0]!);

test('the spectra are of the weakest channel: at its strictest limit, and 20 dB below', () => {
  const spectra = chosen(record);
  expect(spectra.map(({ why, reading }) => [why, reading.channel])).toEqual([
    ['near 0.1 % THD+N', 2],
    ['at low level', 2],
  ]);
  const [high, low] = spectra.map(({ reading }) => reading.power_W);
  expect(10 * Math.log10(high! / 87.67)).toBeCloseTo(0, 1);
  expect(Math.abs(10 * Math.log10(high! / low!) - 20)).toBeLessThan(1.5);
});

test('the spectrum of a climb that reached no limit is that of its highest power; one that was not kept is not drawn', () => {
  expect(chosen(interruptedAtPoint3())[0]!.why).toBe('at the highest power');
  const readings = record.readings.map((reading) => ({ ...reading, spectrum: null }));
  expect(chosen({ ...record, readings })).toEqual([]);
});

test('a spectrum shows the sum of the band of the reading and of the bench, 20 dB apart for a tenth', () => {
  const reading = { ...chosen(record)[0]!.reading, thdn_percent: 0.1 };
  const heights = spectrumChart({ reading, why: '' }, 'x', () => 0.01).guides.map(({ at }) =>
    'y' in at ? at.y : 0,
  );
  expect(heights).toEqual([expect.closeTo(-60, 9), expect.closeTo(-80, 9)]);
  expect(spectrumChart({ reading, why: '' }, 'x', () => null).guides).toHaveLength(1);
});

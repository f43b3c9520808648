import { describe, expect, it } from 'vitest';
import { differenceOf } from '../../../src/document/comparison/difference.js';
import {
  type Budget,
  budgetOf,
  type Component,
  type Contribution,
  weighed,
} from '../../../src/measure/budget.js';
import { budgeted, placed, powerFigure } from './placed.js';

const part = (source: string, standard_percent: number): Contribution => ({
  source,
  type: 'B',
  distribution: 'normal',
  standard_percent,
  freedom: null,
});

const budget = (value: number, components: readonly Component[]): Budget =>
  budgetOf({ quantity: 'power', value, unit: 'W', components });

const INPUT = 'input 1: calibration (record input-1)';
const SAME = { records: { 'input-1': 'a' } };

describe('the difference of two powers', () => {
  it('is told in watts and decibels', () => {
    const one = differenceOf(placed(powerFigure(50)), placed(powerFigure(100, { run: 2 })))!;
    expect([one.difference, one.finding, one.basis]).toEqual([50, 'not told', 'none']);
    expect(one.difference_dB).toBeCloseTo(10 * Math.log10(2), 12);
  });

  it('is known exactly when everything that errs is shared, and counts in watts by what is left', () => {
    const parts = weighed([part(INPUT, 1)], 2);
    const one = differenceOf(budgeted(1, budget(50, parts), SAME), budgeted(2, budget(60, parts), SAME))!;
    expect(one.uncertainty_dB).toBeCloseTo(0, 12);
    // Both are off by the same 2 %, k = 2: 4 % of the 10 W between them.
    expect(one.uncertainty).toBeCloseTo(0.4, 12);
    expect([one.finding, one.cancelled]).toEqual(['more', [INPUT]]);
  });

  it('adds by squares what the runs do not share: equal parts make root two of one', () => {
    const parts = weighed([part('channel 1: interpolation between two readings', 0.5)], 1);
    const one = differenceOf(budgeted(1, budget(50, parts), SAME), budgeted(2, budget(50, parts), SAME))!;
    // JCGM 100:2008, 5.1.2: u of the ratio is 0.5 % times root two, k = 2.
    expect(one.uncertainty_dB).toBeCloseTo(((10 / Math.LN10) * 2 * 0.5 * Math.SQRT2) / 100, 12);
    expect(one.uncertainty).toBeCloseTo((50 * 2 * 0.5 * Math.SQRT2) / 100, 12);
    expect(one.finding).toBe('alike');
  });

  it.each([
    ['another record of the same name', INPUT, SAME, { records: { 'input-1': 'b' } }, 1000, false],
    ['the same record, on another bench', INPUT, SAME, { bench: 'bench-2', ...SAME }, 1000, true],
    ['the same bench file', 'load 1: calibration (bench file)', {}, {}, 1000, true],
    ['another bench file', 'load 1: calibration (bench file)', {}, { bench: 'bench-2' }, 1000, false],
    ['limits of linearity', 'input 1: linearity (record input-1)', SAME, SAME, 1000, false],
    ['limits of stability', 'input 1: stability (record input-1)', SAME, SAME, 1000, false],
    ['the response at one tone', 'response 1: calibration (record input-1)', SAME, SAME, 1000.5, true],
    ['the response at another', 'response 1: calibration (record input-1)', SAME, SAME, 2000, false],
    ['the same load that warms', 'load 1 (8 ohm): correction for its warmth', {}, {}, 1000, true],
    [
      'a load measured anew that warms',
      'load 1 (8 ohm): correction for its warmth',
      { records: { 'load-1': 'a' } },
      { records: { 'load-1': 'b' } },
      1000,
      false,
    ],
    ['the room', 'load 1 (8 ohm): room within 5 K of its calibration (common practice)', {}, {}, 1000, false],
  ])('knows by its source whether a cause is shared: %s', (_, source, here, there, frequency_Hz, shared) => {
    const parts = weighed([part(source, 0.5)], 1);
    const other = budgeted(2, budget(50, parts), there);
    const one = differenceOf(budgeted(1, budget(50, parts), here), {
      ...other,
      figure: { ...other.figure, frequency_Hz },
    })!;
    expect(one.cancelled).toEqual(shared ? [source] : []);
    expect(one.uncertainty_dB! < 1e-12).toBe(shared);
  });

  it('takes figures with an uncertainty but no budget as independent', () => {
    const one = differenceOf(
      placed(powerFigure(100, { finding: { uncertainty: 3 } })),
      placed(powerFigure(100, { run: 2, finding: { uncertainty: 4 } })),
    )!;
    expect([one.uncertainty, one.basis, one.finding]).toEqual([5, 'figures', 'alike']);
  });

  it('is none when one of the runs found none', () => {
    expect(differenceOf(placed(powerFigure(null)), placed(powerFigure(100, { run: 2 })))).toBeNull();
  });

  it('counts distortions in voltage decibels', () => {
    const percent = (run: number, value: number) =>
      placed(powerFigure(value, { run, finding: { quantity: 'thdn', uncertainty: 0.001 } }));
    const one = differenceOf(percent(1, 0.1), percent(2, 0.05))!;
    expect(one.difference_dB).toBeCloseTo(20 * Math.log10(0.5), 12);
    expect(one.finding).toBe('less');
  });

  it('subtracts what is in decibels already, uncertainties by squares', () => {
    const dip = (run: number, value: number, uncertainty: number) =>
      placed(powerFigure(value, { run, finding: { quantity: 'dip', uncertainty } }));
    const one = differenceOf(dip(1, -0.2, 0.03), dip(2, 0.5, 0.04))!;
    expect([one.difference_dB, one.uncertainty_dB]).toEqual([
      expect.closeTo(0.7, 12),
      expect.closeTo(0.05, 12),
    ]);
    expect(one.finding).toBe('more');
  });

  it('takes no ratio of a value that is zero or less: the values are subtracted', () => {
    const dc = (run: number, value: number) =>
      placed(powerFigure(value, { run, finding: { quantity: 'dc' } }));
    expect(differenceOf(dc(1, 0), dc(2, 0.003))).toMatchObject({ difference: 0.003, difference_dB: null });
  });
});

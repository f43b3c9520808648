import { describe, expect, it } from 'vitest';
import { htmlReport } from '../../../src/document/html/html-report.js';
import {
  budgetHead,
  budgetRows,
  budgetTitle,
  shortFigure,
} from '../../../src/document/model/budget-section.js';
import { budgetText } from '../../../src/document/text/run-text.js';
import { type Budget, budgetOf, type Component, limits, weighed } from '../../../src/measure/budget.js';
import { findingsOf } from '../../../src/record/findings-of.js';
import type { CeilingResult, Result } from '../../../src/record/old-results.js';
import type { RunRecord } from '../../../src/record/run-record.js';
import { resultsIn, withResults } from '../../record/results.js';
import { invented } from '../fixture.js';
import { HOSTILE } from '../hostile.js';

const scatter: Component = {
  source: 'channel 1: scatter of four readings',
  type: 'A',
  distribution: 'normal',
  standard_percent: 0.2,
  freedom: 3,
  sensitivity: 2,
};
/** 100.9 W: converter within 0.3 %, load within 0.5 %, and a scatter of 0.2 % of the voltage. */
const power = budgetOf({
  quantity: 'power',
  value: 100.858,
  unit: 'W',
  components: [
    ...weighed([limits('input 1: meter (record left-input)', 0.3)], 2),
    ...weighed([limits('load 1 (8 ohm): meter (record left-load)', 0.5)], -1),
    scatter,
  ],
});
const thdn = budgetOf({
  quantity: 'thdn',
  value: 0.1,
  unit: '%',
  components: [],
  missing: ['floor', 'response'],
});

function withBudgets(record: RunRecord, budgets: readonly Budget[] = [power, thdn]): RunRecord {
  const results = resultsIn(record).map((result, i) => (i === 0 ? { ...result, budgets } : result));
  return withResults(record, results);
}

const text = (record: RunRecord, width = 80) => budgetText(record, { width, colour: false });

describe('a budget as a table', () => {
  it('has a row a component, then all of them together', () => {
    // By hand: 2 x 0.3 / root 3 = 0.3464; 0.5 / root 3 = 0.2887; 2 x 0.2 = 0.4; root of the squares 0.6028;
    // Welch and Satterthwaite: 3 x (0.6028 / 0.4)^4 = 15.47.
    const rows = budgetRows(power);
    expect(rows.map((row) => row.slice(3))).toEqual([
      ['0.17', '2', '0.35', '–'],
      ['0.29', '-1', '0.29', '–'],
      ['0.20', '2', '0.40', '3'],
      ['', '', '0.60', '15'],
      ['', '', '1.3', ''],
    ]);
    expect(rows.at(-1)![0]).toBe('Expanded, k = 2.18 (95.45 %)');
  });

  it('is headed by the figure with its U, and says what is missing when there is none', () => {
    expect(budgetHead(power)).toBe('Power 100.9 W ± 1.3 W: U = 1.3 %, k = 2.18');
    const exact = budgetOf({ quantity: 'frequency', value: 1000.488, unit: 'Hz', components: [] });
    expect(budgetHead(exact)).toBe('Frequency 1.000488 kHz: U is below 0.0001 %');
    expect(budgetHead(thdn)).toBe('THD+N 0.1 %: no uncertainty, since these are not stated: floor, response');
  });

  it.each([
    [0, '0'],
    [3e-7, '<0.0001'],
    [0.000234, '0.0002'],
    [0.0456, '0.046'],
    [1.96, '2.0'],
    [12.34, '12'],
    [-0.3333, '-0.33'],
  ])('prints %d as %s', (value, words) => {
    expect(shortFigure(value)).toBe(words);
  });
});

describe('budgetText', () => {
  it('shows a table a budget, the factor, and the calibration used, within the width', () => {
    const shown = text(withBudgets(invented()));
    expect(shown).toContain('Maximum power at 0.1 % THD+N, 1 kHz, channel 1');
    expect(shown).toContain('Power 100.9 W ± 1.3 W');
    expect(shown).toContain('Calibration used');
    expect(shown).toMatch(/load-8-ohm-1 +load +2031-01-15 +– +1111/);
    // Sources have lines of their own: beside seven columns they would be broken into syllables.
    expect(shown).toContain('\nload 1 (8 ohm): meter (record left-load)\n  B ');
    for (const line of shown.split('\n')) expect(line.length).toBeLessThanOrEqual(80);
  });

  it('says so when a run was made before budgets were kept, or ended before a result', () => {
    expect(text(invented())).toContain('No budgets were kept with this run');
    expect(text({ ...invented(), findings: [] })).toContain('ended before it had a result');
  });

  it('makes hostile text visible', () => {
    const base = withBudgets(invented());
    const [first, ...rest] = resultsIn(base);
    const hostile = budgetOf({
      quantity: 'power',
      value: 1,
      unit: 'W',
      missing: [HOSTILE.terminal],
      components: weighed([limits(HOSTILE.terminal, 1)], 1),
    });
    const record = {
      ...base,
      results: [{ ...first!, step: HOSTILE.terminal, budgets: [hostile] }, ...rest] as Result[],
    };
    // biome-ignore lint/suspicious/noControlCharactersInRegex: that is what must not be in there.
    expect(text(record)).not.toMatch(/[\u0000-\u0009\u000b-\u001f\u007f-\u009f]/);
  });
});

describe('the uncertainty in a report', () => {
  it('stands in a section of its own, a table a power, with the records it rests on', async () => {
    const page = htmlReport(withBudgets(invented()));
    expect(page).toContain('>Uncertainty</h2>');
    expect(page).toContain('input 1: meter (record left-input)');
    expect(page).toContain('2031-01-15');
    expect(page).toContain('U with k = 2 to 2.18');
  });

  it('shows of many ceilings the lowest of each channel, and keeps the page small', async () => {
    const ceilings = Array.from({ length: 1488 }, (_, i): CeilingResult => {
      return {
        kind: 'ceiling',
        step: 'top',
        channel: 1 + (i % 8),
        driven: [1, 2, 3, 4, 5, 6, 7, 8],
        load_ohm: 8,
        nominal_Hz: 20 * 10 ** (Math.floor(i / 8) / 62),
        frequency_Hz: 20 * 10 ** (Math.floor(i / 8) / 62),
        threshold_percent: 0.1,
        power_W: 50 + ((i * 7919) % 1000) / 100,
        uncertainty_W: 1,
        bracket_dB: 0.04,
        captures: 5,
        flags: [],
        note: '',
        budgets: [{ ...power, value: 50 + ((i * 7919) % 1000) / 100 }, thdn],
      };
    });
    const page = htmlReport(withResults(invented(), ceilings));
    expect(page.match(/<summary>Maximum power at/g)).toHaveLength(8);
    expect(page).toContain('1480 more budgets are in the JSON export.');
    expect(page.length).toBeLessThan(1_500_000);
  });
});

describe('budgetTitle', () => {
  it('tells every finding from the others', () => {
    const titles = findingsOf(invented()).map((finding) => budgetTitle(finding));
    expect(new Set(titles).size).toBe(titles.length);
  });
});

import { expect, test } from 'vitest';
import { resultsCsv } from '../../../src/document/csv/results-csv.js';
import { numberOf } from '../../../src/record/finding.js';
import { findingsOf } from '../../../src/record/findings-of.js';
import { resultsIn, withResults } from '../../record/results.js';
import { HOSTILE } from '../hostile.js';
import { inventedMatrix } from '../matrix-fixture.js';
import { parse } from '../parse-csv.js';

test('there is one row for each finding, in the order found, with its unit, its setting and six digits', () => {
  const record = inventedMatrix();
  const [findings, rows] = [findingsOf(record), parse(resultsCsv(record))];
  expect(rows.map(({ quantity }) => quantity)).toEqual(findings.map(({ quantity }) => quantity));
  for (const [i, finding] of findings.entries()) {
    const row = rows[i]!;
    expect(row.driven).toBe(finding.setting.driven.join(' '));
    expect(Number(row.load_ohm)).toBe(finding.setting.load_ohm);
    const value = numberOf(finding);
    if (value !== null) expect(Number(row.value) / value).toBeCloseTo(1, 5);
    if (finding.value === null) expect(row.value).toBe('');
    expect(row.flags).toBe(finding.flags.join(' '));
  }
  const search = rows.find(({ step_kind, nominal_Hz }) => step_kind === 'max-power' && nominal_Hz === '20')!;
  expect(search).toMatchObject({ value: '60', value_unit: 'W', mains_V: '230', threshold_percent: '0.1' });
});

test('a cause stands with its confidence and the evidence of all that were weighed', () => {
  const [row] = parse(resultsCsv(inventedMatrix())).filter(({ quantity }) => quantity === 'cause');
  expect(row).toMatchObject({ value: 'supply sag 0.87, rail clipping 0.13', nominal_Hz: '20' });
  expect(row!.notes).toMatch(/^the tops move by 4 % at 100 Hz; the tops <b>stop/);
});

test('no note becomes a formula or a line of its own', () => {
  const record = inventedMatrix();
  const results = Object.values(HOSTILE).map((note) => ({
    ...resultsIn(record).find(({ kind }) => kind === 'ceiling')!,
    note,
    step: note,
  }));
  const rows = parse(resultsCsv(withResults(record, results)));
  expect(rows).toHaveLength(results.length);
  for (const { notes, step } of rows)
    for (const text of [notes, step]) expect(text).not.toMatch(/^\s*[=+\-@]/);
});

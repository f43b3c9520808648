import { expect, test } from 'vitest';
import { resultsCsv } from '../../../src/document/csv/results-csv.js';
import { HOSTILE } from '../hostile.js';
import { inventedMatrix } from '../matrix-fixture.js';
import { parse } from '../parse-csv.js';

test('there is one row for each result, in the order found, its numbers exact and its units in the column names', () => {
  const record = inventedMatrix();
  const rows = parse(resultsCsv(record));
  expect(rows.map(({ kind }) => kind)).toEqual(record.results.map(({ kind }) => kind));
  for (const [i, result] of record.results.entries()) {
    const row = rows[i]!;
    expect(row.driven).toBe(result.driven.join(' '));
    expect(Number(row.load_ohm)).toBe(result.load_ohm);
    if (result.kind === 'ceiling') {
      expect(row.power_W).toBe(result.power_W === null ? '' : String(result.power_W));
      expect(row.mains_V).toBe('230');
      expect(row.flags).toBe(result.flags.join(' '));
    }
    if (result.kind === 'hold') expect(Number(row.last_W)).toBe(result.last_W);
  }
});

test('a cause stands with its confidence and the evidence of all that were weighed', () => {
  const [row] = parse(resultsCsv(inventedMatrix())).filter(({ kind }) => kind === 'cause');
  expect(row).toMatchObject({ cause: 'supply-sag', confidence: '0.87', nominal_Hz: '20' });
  expect(row!.note).toMatch(/supply-sag 0\.87: the tops move by 4 % .* \| rail-clipping 0\.13: /);
});

test('no note becomes a formula or a line of its own', () => {
  const record = inventedMatrix();
  const results = Object.values(HOSTILE).map((note) => ({
    ...record.results.find(({ kind }) => kind === 'ceiling')!,
    note,
    step: note,
  }));
  const rows = parse(resultsCsv({ ...record, results }));
  expect(rows).toHaveLength(results.length);
  for (const { note } of rows) expect(note).not.toMatch(/^\s*[=+\-@]/);
});

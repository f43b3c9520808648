import { expect, test } from 'vitest';
import { columnsCsv } from '../../../src/document/csv/columns-csv.js';
import { csvExport } from '../../../src/document/csv/csv-export.js';
import { resultsCsv } from '../../../src/document/csv/results-csv.js';
import { invented } from '../fixture.js';
import { parse } from '../parse-csv.js';

test('every column of the two exports has its meaning, in the order of the columns', () => {
  const rows = parse(columnsCsv());
  const heads = (text: string) => text.split('\r\n')[0]!.split(',');
  for (const [name, text] of [
    ['csv', csvExport(invented())],
    ['results-csv', resultsCsv(invented())],
  ] as const)
    expect(rows.filter((row) => row.export === name).map(({ column }) => column)).toEqual(heads(text));
  for (const { meaning } of rows) expect(meaning!.length).toBeGreaterThan(8);
});

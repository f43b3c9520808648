import { expect, test } from 'vitest';
import { jsonExport, showDocument } from '../../../src/document/json/show-document.js';
import { resultsIn } from '../../record/results.js';
import { invented, withoutReadings } from '../fixture.js';
import { HOSTILE } from '../hostile.js';

test('the document begins with what scripts rely on', () => {
  const keys = Object.keys(showDocument(invented()));
  expect(keys.slice(0, 6)).toEqual(['run', 'outcome', 'reason', 'results', 'readings', 'verdicts']);
});

test('results keep every field of the record and gain the bands they were measured in', () => {
  const record = invented();
  const { results } = showDocument(record) as { results: object[] };
  expect(results).toHaveLength(resultsIn(record).length);
  for (const [i, result] of resultsIn(record).entries()) {
    // The invented sweep has fields of its points, which no result ever had.
    const { mains_V: _mains, cell: _cell, ...kept } = result as typeof result & Record<string, unknown>;
    expect(results[i]).toMatchObject({ ...kept, bands_Hz: [[20, 20_000]] });
  }
});

test('readings are those of the record, without what is only for drawing', () => {
  const record = invented();
  const { readings } = showDocument(record) as { readings: object[] };
  expect(readings).toHaveLength(record.readings.length);
  for (const [i, reading] of readings.entries()) {
    expect({ ...reading, spectrum: record.readings[i]!.spectrum }).toEqual(record.readings[i]);
    expect(reading).not.toHaveProperty('spectrum');
  }
});

test('the export is one JSON document that comes back the same, hostile texts included', () => {
  for (const label of Object.values(HOSTILE)) {
    const record = invented({ label });
    expect(JSON.parse(jsonExport(record))).toEqual(JSON.parse(JSON.stringify(showDocument(record))));
    expect(JSON.parse(jsonExport(record)).unit.label).toBe(label);
  }
});

test('definitions stand in the document, and a run without readings has one too', () => {
  const document = JSON.parse(jsonExport(withoutReadings()));
  expect(document).toMatchObject({
    outcome: 'fault',
    results: [],
    readings: [],
    definitions: { harmonics: [2, 20], coverage_factor: 2 },
  });
  expect(document.definitions.thdn).toContain('total rms');
});

import type { Result, RunRecord } from '../record/run-record.js';
import { bandsOf, DEFINITIONS } from './definitions.js';

/**
 * A run as `show --json`, `run --json` and `export --format json` print it: the record, with the
 * definitions its figures rest on, and with the measuring bands beside every result. Spectra stay in the
 * database: they are thinned for drawing, and would be most of the document.
 *
 * Field names carry their unit; channels count from 1; a value that does not exist is null.
 */
export function showDocument(record: RunRecord): object {
  const { run, outcome, reason, results, readings, verdicts, ...rest } = record;
  return {
    run,
    outcome,
    reason,
    results: results.map((result) => ({ ...result, bands_Hz: bandsBehind(result, record) })),
    readings: readings.map(({ spectrum: _drawn, ...reading }) => reading),
    verdicts,
    ...rest,
    definitions: { ...DEFINITIONS, harmonics: [2, 20], coverage_factor: 2 },
  };
}

/** The bands of the readings that a result was made from: one, unless a sweep changed its band on the way. */
function bandsBehind(result: Result, record: RunRecord): readonly (readonly [number, number])[] {
  return bandsOf(
    record.readings.filter(({ step, channel }) => step === result.step && channel === result.channel),
  );
}

import { stringify } from 'csv-stringify/sync';
import type { Result } from '../../record/old-results.js';
import type { RunRecord } from '../../record/run-record.js';
import { guarded } from './csv-export.js';

type Cell = string | number | null;

/**
 * One row per result, for a spreadsheet: powers at thresholds, knees, bands, ceilings, holds, sums and causes. Columns as in the
 * JSON export, units included; a column that a kind does not have is empty, and lists stand in one cell. Texts and line ends
 * as in the export of the readings.
 */
export function resultsCsv(record: RunRecord): string {
  const first = new Map(record.points.map((point) => [point.step, point]));
  const rows = record.results.map((result) => ({
    run: record.run,
    unit: record.unit.label,
    bench: record.bench.name,
    ...plain(result),
    mains_V: first.get(result.step)?.mains_V ?? null,
    cell: first.get(result.step)?.cell ?? null,
  }));
  return stringify(rows, {
    header: true,
    columns: COLUMNS,
    record_delimiter: 'windows',
    cast: { string: guarded },
  });
}

/** A result without its budgets, lists as text. */
function plain(result: Result): Record<string, Cell> {
  const { budgets: _budgets, driven, ...rest } = result;
  const fields: Record<string, Cell> = { driven: driven.join(' ') };
  for (const [name, value] of Object.entries(rest)) {
    if (typeof value === 'number' || typeof value === 'string' || value === null) fields[name] = value;
  }
  if ('flags' in result) fields.flags = result.flags.join(' ');
  if (result.kind === 'cause') {
    fields.cause = result.causes[0]?.cause ?? null;
    fields.confidence = result.causes[0]?.confidence ?? null;
    fields.note = result.causes
      .map(({ cause, confidence, evidence }) => `${cause} ${confidence.toFixed(2)}: ${evidence.join('; ')}`)
      .join(' | ');
  }
  return fields;
}

const COLUMNS = [
  ...['run', 'unit', 'bench', 'kind', 'step', 'channel', 'driven', 'load_ohm', 'mains_V', 'cell'],
  ...['nominal_Hz', 'frequency_Hz', 'threshold_percent', 'power_W', 'uncertainty_W', 'bracket_dB'],
  ...[
    'plateau_percent',
    'governed_by',
    'hardness_dB',
    'low_Hz',
    'high_Hz',
    'least_power_W',
    'least_power_Hz',
  ],
  ...['least_power_uncertainty_W', 'most_thdn_percent', 'most_thdn_uncertainty_percent', 'most_thdn_Hz'],
  ...['seconds', 'first_W', 'last_W', 'least_W', 'dip_dB', 'most_dc_V', 'first_channel', 'captures'],
  ...['cause', 'confidence', 'flags', 'note'],
];

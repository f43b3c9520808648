import { stringify } from 'csv-stringify/sync';
import { storedFlags } from '../../record/known-flags.js';
import type { Point, Reading, RunRecord } from '../../record/run-record.js';
import { visibleText } from '../../units/visible-text.js';

type TableCell = string | number | null;

/**
 * One row per reading, for a spreadsheet. The first row names the columns, units included; harmonics stand
 * in `h2_V` to `h20_V` as rms volts at the load; an empty cell is a value that does not exist. Texts that a
 * spreadsheet would take for a formula begin with an apostrophe. Rows end in CR LF (RFC 4180).
 */
export function csvExport(record: RunRecord): string {
  const points = new Map(record.points.map((point) => [point.number, point]));
  const rows = record.readings.map((reading) => rowOf(record, points.get(reading.point), reading));
  return stringify(rows, {
    header: true,
    columns: READING_COLUMNS,
    record_delimiter: 'windows',
    cast: { string: guarded },
  });
}

/** A leading = + - @, tab or line end (also in their full-width forms) starts a formula in some spreadsheet. */
const FORMULA = /^[\s]*[=+\-@\t\r\n\uff1d\uff0b\uff0d\uff20]/u;

/** A cell's text as it is shown, with an apostrophe before what a spreadsheet would compute. */
export function guarded(text: string, context: { readonly header: boolean }): string {
  const shown = visibleText(text);
  return !context.header && FORMULA.test(shown) ? `'${shown}` : shown;
}

function rowOf(record: RunRecord, point: Point | undefined, reading: Reading): Record<string, TableCell> {
  const {
    harmonics,
    band_Hz,
    flags: _flags,
    unknown_flags: _aside,
    gaps,
    spectrum: _drawn,
    ...plain
  } = reading;
  return {
    ...plain,
    run: record.run,
    unit: record.unit.label,
    bench: record.bench.name,
    step_kind: point?.stepKind ?? null,
    driven: point?.driven.join(' ') ?? null,
    nominal_Hz: point?.nominal_Hz ?? null,
    mains_V: point?.mains_V ?? null,
    cell: point?.cell ?? null,
    level_dB: point?.level_dB ?? null,
    asked_W: point?.asked_W ?? null,
    at_s: point?.at_s ?? null,
    band_low_Hz: band_Hz[0],
    band_high_Hz: band_Hz[1],
    flags: storedFlags(reading).join(' '),
    gap_frames: gaps.map((gap) => gap.frame).join(' '),
    ...Object.fromEntries(harmonics.map(({ order, rms }) => [`h${order}_V`, rms])),
  };
}

/** In this order; `columns-csv.ts` says what they mean. */
export const READING_COLUMNS = [
  ...(['run', 'unit', 'bench', 'point', 'step', 'step_kind', 'channel', 'driven', 'at_s'] as const),
  ...(['load_ohm', 'load_measured_ohm', 'nominal_Hz', 'frequency_Hz', 'level_dB', 'asked_W'] as const),
  ...(['power_W', 'uncertainty_W', 'voltage_V', 'fundamental_V', 'noise_V', 'dc_V', 'peak_V'] as const),
  ...(['crest_factor', 'thd_percent', 'thdr_percent', 'thdn_percent', 'sinad_dB', 'gain_dB'] as const),
  ...(['harmonics_in_band', 'voltage_uncertainty_V', 'thdn_uncertainty_percent', 'current_A'] as const),
  ...(['load_seen_ohm', 'mains_V', 'cell', 'band_low_Hz', 'band_high_Hz', 'method', 'flags'] as const),
  ...(['gap_frames', 'capture'] as const),
  ...Array.from({ length: 19 }, (_, i) => `h${i + 2}_V` as const),
];

export type ReadingColumn = (typeof READING_COLUMNS)[number];

import { stringify } from 'csv-stringify/sync';
import { type Finding, numberOf, type StoredFinding } from '../../record/finding.js';
import { findingsOf, unknownFindingsOf } from '../../record/findings-of.js';
import { quantityNamed } from '../../record/quantities.js';
import type { RunRecord } from '../../record/run-record.js';
import { causeEvidence, causesOf } from '../model/cause-words.js';
import { valueWords } from '../model/finding-words.js';
import { notesOf } from '../model/reason-words.js';
import { guarded } from './csv-export.js';

type TableCell = string | number | null;

/** Beyond these significant digits no figure of a bench says anything. */
const DIGITS = 6;

/**
 * One row per finding, for a spreadsheet: what was found, in which unit, on which terms. Numbers have six significant
 * digits; intervals and causes stand in words; a column that a finding does not have is empty. Texts and line ends as in
 * the export of the readings.
 */
export function resultsCsv(record: RunRecord): string {
  const rows = [
    ...findingsOf(record).map((finding) => rowOf(record, finding)),
    ...unknownFindingsOf(record).map((finding) => unknownRow(record, finding)),
  ];
  return stringify(rows, {
    header: true,
    columns: RESULT_COLUMNS,
    record_delimiter: 'windows',
    cast: { string: guarded },
  });
}

/** What a later version concluded: its names and its value, and nothing that this version would have to understand. */
const unknownRow = (
  { run, unit, bench }: RunRecord,
  finding: StoredFinding,
): Partial<Record<FindingColumn, TableCell>> => ({
  run,
  unit: unit.label,
  bench: bench.name,
  quantity: finding.quantity,
  statistic: finding.statistic,
  bound: finding.bound,
  value: typeof finding.value === 'number' ? rounded(finding.value) : JSON.stringify(finding.value ?? null),
  step: finding.setting.step,
  step_kind: finding.setting.step_kind,
  channel: finding.setting.channel,
  flags: finding.flags.join(' '),
});

function rowOf({ run, unit, bench }: RunRecord, finding: Finding): Record<FindingColumn, TableCell> {
  const { quantity, statistic, bound, uncertainty, setting, stimulus, terms } = finding;
  const value = numberOf(finding);
  return {
    run,
    unit: unit.label,
    bench: bench.name,
    quantity,
    statistic,
    bound,
    value: value === null ? (finding.value === null ? null : valueWords(finding)) : rounded(value),
    uncertainty: rounded(uncertainty),
    value_unit: quantityNamed(quantity)?.unit ?? null,
    step: setting.step,
    step_kind: setting.step_kind,
    channel: setting.channel,
    driven: setting.driven.join(' '),
    load_ohm: setting.load_ohm,
    mains_V: setting.mains_V,
    cell: setting.cell,
    nominal_Hz: stimulus.nominal_Hz,
    lines_Hz: stimulus.lines_Hz.map((hz) => Number(hz.toPrecision(DIGITS))).join(' '),
    envelope: stimulus.envelope.kind,
    threshold_percent: terms.threshold_percent ?? null,
    weighting: terms.weighting ?? null,
    band_low_Hz: terms.band_Hz?.[0] ?? null,
    band_high_Hz: terms.band_Hz?.[1] ?? null,
    over_low_Hz: rounded(terms.over_Hz?.[0] ?? null),
    over_high_Hz: rounded(terms.over_Hz?.[1] ?? null),
    seconds: rounded(terms.seconds ?? null),
    bracket_dB: rounded(terms.bracket_dB ?? null),
    from_W: rounded(terms.from_W ?? null),
    governed_by: terms.governed_by ?? null,
    deciding_channel: terms.deciding_channel ?? null,
    mains_Hz: terms.mains_Hz ?? null,
    captures: terms.captures ?? null,
    flags: finding.flags.join(' '),
    notes: [...notesOf(finding), ...causeEvidence(causesOf(finding))].join('; '),
  };
}

const rounded = (value: number | null): number | null =>
  value === null ? null : Number(value.toPrecision(DIGITS));

/** In this order; `columns-csv.ts` says what they mean. */
export const RESULT_COLUMNS = [
  ...([
    'run',
    'unit',
    'bench',
    'quantity',
    'statistic',
    'bound',
    'value',
    'uncertainty',
    'value_unit',
  ] as const),
  ...(['step', 'step_kind', 'channel', 'driven', 'load_ohm', 'mains_V', 'cell'] as const),
  ...(['nominal_Hz', 'lines_Hz', 'envelope', 'threshold_percent', 'weighting'] as const),
  ...([
    'band_low_Hz',
    'band_high_Hz',
    'over_low_Hz',
    'over_high_Hz',
    'seconds',
    'bracket_dB',
    'from_W',
  ] as const),
  ...(['governed_by', 'deciding_channel', 'mains_Hz', 'captures', 'flags', 'notes'] as const),
];

export type FindingColumn = (typeof RESULT_COLUMNS)[number];

import { fromJson, toJson } from '../../record/exact-json.js';
import type { Finding, StoredFinding } from '../../record/finding.js';
import { quantityNamed } from '../../record/quantities.js';
import type { Row } from './insert-into.js';

/** The columns of `findings` that a finding is kept in. */
export const FINDING_COLUMNS = [
  'quantity',
  'statistic',
  'value',
  'unit',
  'bound',
  'uncertainty',
  'why',
  'step',
  'step_kind',
  'channel',
  'driven',
  'load_ohm',
  'mains_V',
  'cell',
  'nominal_Hz',
  'threshold_percent',
  'weighting',
  'flags',
  'detail',
] as const;

/** A row of `findings`, as it is read. */
export type FindingRow = Row<(typeof FINDING_COLUMNS)[number]>;

/** What has no column of its own. A value or an uncertainty is here when it is no number that SQL can hold. */
interface Detail extends Pick<StoredFinding, 'points' | 'budgets' | 'remarks' | 'terms'> {
  readonly value?: unknown;
  readonly uncertainty?: number;
  readonly lines_Hz: StoredFinding['stimulus']['lines_Hz'];
  readonly envelope: StoredFinding['stimulus']['envelope'];
}

export function toFindingRow(finding: StoredFinding): FindingRow {
  const { quantity, statistic, value, bound, why, uncertainty, setting, stimulus, flags } = finding;
  const { driven, ...place } = setting;
  const { nominal_Hz, ...played } = stimulus;
  const { threshold_percent, weighting, ...terms } = finding.terms as Finding['terms'];
  const { points, budgets, remarks } = finding;
  const detail: Detail = {
    ...(isPlain(value) ? {} : { value }),
    ...(isPlain(uncertainty) ? {} : { uncertainty }),
    ...played,
    terms,
    points,
    budgets,
    remarks,
  };
  return {
    quantity,
    statistic,
    value: isPlain(value) ? value : null,
    unit: quantityNamed(quantity)?.unit ?? '',
    bound,
    uncertainty: isPlain(uncertainty) ? uncertainty : null,
    why: why && toJson(why),
    ...place,
    driven: toJson(driven),
    nominal_Hz,
    threshold_percent: threshold_percent ?? null,
    weighting: weighting ?? null,
    flags: toJson(flags),
    detail: toJson(detail),
  };
}

/** What a column of numbers gives back as it was. */
const isPlain = (value: unknown): value is number | null =>
  value === null || (typeof value === 'number' && Number.isFinite(value));

/** The inverse of `toFindingRow`. The names in it are those of the file, known or not. */
export function fromFindingRow(row: FindingRow): StoredFinding {
  const { quantity, statistic, bound, why, step, step_kind, channel, driven, load_ohm, mains_V, cell } = row;
  const { threshold_percent, weighting } = row;
  const detail = fromJson(row.detail as string) as Detail;
  return {
    quantity,
    statistic,
    value: detail.value ?? row.value,
    bound,
    why: why === null ? null : fromJson(why as string),
    uncertainty: detail.uncertainty ?? row.uncertainty,
    budgets: detail.budgets,
    setting: { step, step_kind, channel, driven: fromJson(driven as string), load_ohm, mains_V, cell },
    stimulus: { lines_Hz: detail.lines_Hz, nominal_Hz: row.nominal_Hz, envelope: detail.envelope },
    terms: {
      ...(threshold_percent === null ? {} : { threshold_percent }),
      ...(weighting === null ? {} : { weighting }),
      ...detail.terms,
    },
    points: detail.points,
    flags: fromJson(row.flags as string),
    remarks: detail.remarks,
  } as StoredFinding;
}

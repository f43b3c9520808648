import type { PlacedFigure } from '../../../src/document/comparison/common-parts.js';
import type { RunFigure } from '../../../src/document/comparison/figures-of-run.js';
import type { Budget } from '../../../src/measure/budget.js';
import type { Finding } from '../../../src/record/finding.js';
import { QUANTITIES } from '../../../src/record/quantities.js';

/** What a run rests on, for a test that varies it: the bench file by its hash, the records by id and hash. */
export interface Papers {
  readonly bench?: string;
  readonly records?: Readonly<Record<string, string>>;
}

/** Maximum power at 0.1 % THD+N of channel 1 at 1 kHz into 8 ohm. */
const finding = (value: number | null): Finding => ({
  quantity: 'max-power',
  statistic: 'at-threshold',
  value,
  bound: 'found',
  why: null,
  uncertainty: null,
  budgets: [],
  setting: {
    step: 'climb-1k',
    step_kind: 'climb',
    channel: 1,
    driven: [1],
    load_ohm: 8,
    mains_V: null,
    cell: '',
  },
  stimulus: { lines_Hz: [1000], nominal_Hz: 1000, envelope: { kind: 'steady' } },
  terms: { threshold_percent: 0.1 },
  points: [],
  flags: [],
  remarks: [],
});

/** A figure of that finding, whose parts and whose finding a test may vary. */
export function powerFigure(
  value: number | null,
  changes: Partial<Omit<RunFigure, 'finding'>> & { readonly finding?: Partial<Finding> } = {},
): RunFigure {
  const found = { ...finding(value), ...changes.finding };
  const { quantity, statistic, terms } = found;
  return {
    run: 1,
    held: false,
    unit: QUANTITIES[quantity].unit,
    value,
    step: 'climb-1k',
    channel: 1,
    driven: [1],
    load_ohm: 8,
    mains_V: null,
    threshold_percent: terms.threshold_percent ?? null,
    frequency_Hz: 1000,
    band_Hz: [1000, 1000],
    measured_Hz: [20, 20_000],
    asked_W: null,
    missing_Hz: [],
    single: false,
    what: JSON.stringify([quantity, statistic, changes.threshold_percent ?? terms.threshold_percent]),
    ...changes,
    finding: found,
  };
}

/** A figure with what it rests on. */
export function placed(figure: RunFigure, { bench = 'bench-1', records = {} }: Papers = {}): PlacedFigure {
  return {
    record: {
      bench: { name: 'bench', kind: 'audio', rate_Hz: 48_000, text: '', sha256: bench },
      calibration: Object.entries(records).map(([id, sha256]) => ({
        id,
        kind: id.split('-')[0]!,
        text: '',
        sha256,
      })),
    },
    figure,
  };
}

/** A power with the budget that it was given. */
export const budgeted = (run: number, budget: Budget, papers: Papers): PlacedFigure =>
  placed(
    powerFigure(budget.value, { run, finding: { uncertainty: budget.expanded, budgets: [budget] } }),
    papers,
  );

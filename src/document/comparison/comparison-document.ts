import type { JudgedClaim } from '../../judgement/judged-run.js';
import { notesOf } from '../model/reason-words.js';
import type { ComparedFigure, ComparedRun, Comparison } from './comparison.js';
import type { Difference } from './difference.js';
import type { RunFigure } from './figures-of-run.js';

/**
 * A comparison as `compare --json` prints it: `runs`, `agreement`, `differences`, and `alone`. Field names carry their
 * unit: a figure of watts stands under `_W`, one of percent under `_percent`; a value that does not exist is null.
 */
export function comparisonDocument({ runs, agreement, compared, alone }: Comparison): object {
  return {
    runs: runs.map(runDocument),
    agreement,
    differences: compared.map(rowDocument),
    alone: alone.map((figure) => ({ ...settingDocument(figure), ...figureDocument(figure) })),
  };
}

function runDocument({ record, judged, unlike }: ComparedRun): object {
  const { run, outcome, reason, started, ended, version, unit, bench, sequence } = record;
  return {
    run,
    outcome,
    reason,
    started,
    ended,
    version,
    unit,
    bench: { name: bench.name, kind: bench.kind, rate_Hz: bench.rate_Hz, sha256: bench.sha256 },
    sequence: { name: sequence.name, sha256: sequence.sha256 },
    calibration: record.calibration.map(({ id, kind, sha256 }) => ({ id, kind, sha256 })),
    unlike,
    verdicts: judged.claims.map(verdictDocument),
    claim_unreadable: judged.unreadable,
  };
}

const verdictDocument = ({ text, verdict, stored }: JudgedClaim): object => ({
  claim: text,
  verdict: verdict.verdict,
  reason: verdict.reason,
  required_W: verdict.required_W,
  margin_W: verdict.margin_W,
  margin_dB: verdict.margin_dB,
  stored,
});

function rowDocument({ figures, differences }: ComparedFigure): object {
  const first = figures[0]!;
  return {
    ...settingDocument(first),
    figures: figures.map(figureDocument),
    differences: differences.map((one) => one && differenceDocument(one, first.unit)),
  };
}

const settingDocument = ({ finding, driven, load_ohm, mains_V, threshold_percent, band_Hz }: RunFigure) => ({
  quantity: finding.quantity,
  statistic: finding.statistic,
  channel: finding.setting.channel,
  driven,
  load_ohm,
  mains_V,
  threshold_percent,
  ...(finding.terms.weighting && { weighting: finding.terms.weighting }),
  band_Hz,
});

/** What a value of a unit is called, and what its uncertainty and its difference end in. */
const FIELDS: Readonly<Record<RunFigure['unit'], readonly [value: string, suffix: string]>> = {
  W: ['power_W', '_W'],
  V: ['voltage_V', '_V'],
  '%': ['thdn_percent', '_percent'],
  dB: ['level_dB', '_dB'],
  ohm: ['load_ohm', '_ohm'],
  K: ['rise_K', '_K'],
  s: ['duration_s', '_s'],
  '': ['value', ''],
};

function figureDocument({
  run,
  step,
  unit,
  value,
  finding,
  frequency_Hz,
  measured_Hz,
  asked_W,
}: RunFigure): object {
  const [name, suffix] = FIELDS[unit];
  return {
    run,
    step,
    [name]: value,
    [`uncertainty${suffix}`]: finding.uncertainty,
    bound: finding.bound,
    coverage_factor: finding.budgets[0]?.coverage_factor ?? null,
    frequency_Hz,
    measuring_band_Hz: measured_Hz,
    ...(asked_W === null ? {} : { asked_W }),
    note: [...notesOf(finding), ...finding.flags].join('; '),
  };
}

function differenceDocument(
  { run, to, difference, uncertainty, cancelled, finding, unlike, ...rest }: Difference,
  unit: RunFigure['unit'],
): object {
  const [, suffix] = FIELDS[unit];
  return {
    run,
    to,
    [`difference${suffix}`]: difference,
    [`uncertainty${suffix}`]: uncertainty,
    ...rest,
    cancelled,
    finding,
    unlike,
  };
}

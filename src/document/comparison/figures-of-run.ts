import type { Budget } from '../../measure/budget.js';
import type {
  BandResult,
  CeilingResult,
  HoldResult,
  KneeResult,
  PowerAtThdn,
  Result,
  SumResult,
} from '../../record/old-results.js';
import type { RunRecord } from '../../record/run-record.js';
import { formatQuantity } from '../../units/format.js';
import { ceilingGroups, hasPower } from '../model/ceiling-groups.js';
import type { RunFigure } from './run-figure.js';

type Setting = Pick<RunFigure, 'run' | 'step' | 'channel' | 'driven' | 'load_ohm' | 'mains_V'>;
/** All but what is looked up once it is known where the figure was found. */
type Found = Omit<RunFigure, 'measured_Hz' | 'asked_W' | 'what' | 'held'>;

/** Every figure of a run that another run may have too, in the order of its results; the least of each band first. */
export function figuresOfRun(record: RunRecord): RunFigure[] {
  const mains = new Map(record.points.map(({ step, mains_V }) => [step, mains_V]));
  const settingOf = ({ step, channel, driven, load_ohm }: Result): Setting => ({
    run: record.run,
    step,
    channel,
    driven,
    load_ohm,
    mains_V: mains.get(step) ?? null,
  });
  const found: readonly Found[] = [
    ...leastCeilings(record),
    ...record.results.flatMap((result) => figuresOf(result, settingOf(result))),
  ];
  const bands = measuringBands(record);
  const asked = askedPowers(record);
  return found.map((figure) => ({
    ...figure,
    what: `${figure.kind} ${figure.threshold_percent}`,
    held: HELD.has(figure.kind),
    // A reading that was no number makes no figure.
    value: Number.isFinite(figure.value) ? figure.value : null,
    measured_Hz: bands.get(toneKey(figure)) ?? null,
    asked_W: HELD.has(figure.kind) ? (asked.get(figure.step) ?? null) : null,
  }));
}

/** What a step was told to hold, rather than what it found. */
const HELD: ReadonlySet<RunFigure['kind']> = new Set(['band-power', 'band-thdn', 'hold-power', 'hold-thdn']);

/** The power that each step asked for at all of its points; null where they differ. */
function askedPowers({ points }: RunRecord): Map<string, number | null> {
  const asked = new Map<string, number | null>();
  for (const { step, asked_W } of points)
    asked.set(step, !asked.has(step) || asked.get(step) === asked_W ? asked_W : null);
  return asked;
}

const toneKey = ({ step, frequency_Hz }: { readonly step: string; readonly frequency_Hz: number }): string =>
  `${step}\n${frequency_Hz}`;

/** The measuring band of each tone of each step. */
function measuringBands({ readings }: RunRecord): Map<string, readonly [number, number]> {
  return new Map(readings.map((reading) => [toneKey(reading), reading.band_Hz]));
}

function figuresOf(result: Result, setting: Setting): Found[] {
  switch (result.kind) {
    case 'power-at-thdn':
    case 'knee':
    case 'sum':
      return [power(result, setting)];
    case 'ceiling':
      return [ceiling(result, setting)];
    case 'band':
      return band(result, setting);
    case 'hold':
      return hold(result, setting);
    case 'cause':
      return [];
  }
}

const budgetFor = (budgets: readonly Budget[] | undefined, quantity: Budget['quantity']): Budget | null =>
  budgets?.find((budget) => budget.quantity === quantity) ?? null;

function power(result: PowerAtThdn | KneeResult | SumResult, setting: Setting): Found {
  const { frequency_Hz } = result;
  return {
    ...setting,
    kind: result.kind,
    unit: 'W',
    value: result.power_W,
    uncertainty: result.uncertainty_W ?? null,
    budget: budgetFor(result.budgets, 'power'),
    threshold_percent: result.kind === 'knee' ? null : result.threshold_percent,
    frequency_Hz,
    band_Hz: [frequency_Hz, frequency_Hz],
    note: result.note,
  };
}

function ceiling(result: CeilingResult, setting: Setting): Found {
  const { nominal_Hz, flags, note } = result;
  return {
    ...setting,
    kind: 'ceiling',
    unit: 'W',
    value: result.power_W,
    uncertainty: result.uncertainty_W,
    budget: budgetFor(result.budgets, 'power'),
    threshold_percent: result.threshold_percent,
    frequency_Hz: result.frequency_Hz,
    band_Hz: [nominal_Hz, nominal_Hz],
    note: [note, ...flags].filter((text) => text !== '').join('; '),
  };
}

/** The least ceiling of each channel over the band, of those that were found; a frequency without one is told. */
function leastCeilings(record: RunRecord): Found[] {
  return ceilingGroups(record).flatMap(({ channels, nominals_Hz, mains_V }) =>
    [...channels].map(([channel, results]): Found => {
      const { step, driven, load_ohm } = results[0]!;
      const none = results.filter((result) => !hasPower(result));
      const least = results.filter(hasPower).reduce<CeilingResult>(lower, results[0]!);
      const figure = ceiling(least, { run: record.run, step, channel, driven, load_ohm, mains_V });
      return {
        ...figure,
        kind: 'least-ceiling',
        band_Hz: [nominals_Hz[0]!, nominals_Hz.at(-1)!],
        incomplete: none.length > 0,
        note: none.length > 0 ? noneWords(none, results.length) : figure.note,
      };
    }),
  );
}

const lower = (a: CeilingResult, b: CeilingResult): CeilingResult =>
  a.power_W === null || b.power_W! < a.power_W ? b : a;

function noneWords(none: readonly CeilingResult[], searched: number): string {
  if (none.length === searched) return `none found anywhere: ${none[0]!.note}`;
  const places = none.map(({ nominal_Hz }) => formatQuantity(nominal_Hz, 'Hz', { figures: 3, trim: true }));
  return `none found at ${places.join(', ')}: ${none[0]!.note}`;
}

function band(result: BandResult, setting: Setting): Found[] {
  const common = {
    ...setting,
    threshold_percent: null,
    band_Hz: [result.low_Hz, result.high_Hz] as const,
    note: result.flags.join('; '),
  };
  return [
    {
      ...common,
      kind: 'band-power',
      unit: 'W',
      value: result.least_power_W,
      uncertainty: result.least_power_uncertainty_W ?? null,
      budget: budgetFor(result.budgets, 'power'),
      frequency_Hz: result.least_power_Hz,
    },
    {
      ...common,
      kind: 'band-thdn',
      unit: '%',
      value: result.most_thdn_percent,
      uncertainty: result.most_thdn_uncertainty_percent ?? null,
      budget: budgetFor(result.budgets, 'thdn'),
      frequency_Hz: result.most_thdn_Hz,
    },
  ];
}

/** A hold keeps no uncertainty of its own: its figures are set side by side, and nothing is concluded. */
function hold(result: HoldResult, setting: Setting): Found[] {
  const { frequency_Hz, note, last_W, most_thdn_percent } = result;
  const common = {
    ...setting,
    uncertainty: null,
    budget: null,
    threshold_percent: null,
    frequency_Hz,
    band_Hz: [frequency_Hz, frequency_Hz] as const,
    note,
  };
  return [
    { ...common, kind: 'hold-power', unit: 'W', value: last_W },
    { ...common, kind: 'hold-thdn', unit: '%', value: most_thdn_percent },
  ];
}

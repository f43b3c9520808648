import type { StepKindName } from '../sequence/step-base.js';
import { groupBy } from '../units/group-by.js';
import type { Finding, Setting, StimulusWords, Terms } from './finding.js';
import type {
  BandResult,
  CauseResult,
  CeilingResult,
  HoldResult,
  KneeResult,
  PowerAtThdn,
  Result,
  SumResult,
} from './old-results.js';
import type { Remark } from './reasons.js';
import type { Point } from './run-record.js';

/** What a conversion knows besides the result itself. */
interface ResultGround {
  readonly setting: Setting;
  readonly points: readonly number[];
  readonly nominal_Hz: number | null;
}

type Figure = Pick<Finding, 'quantity' | 'statistic' | 'value'> & Partial<Finding>;

/**
 * Results of version 0.1 as the findings that they are. A result of several figures becomes several findings.
 *
 * @param points of the same run: what a result does not say of its setting (mains, cell, nominal frequency)
 */
export function findingsOfResults(results: readonly Result[], points: readonly Point[]): Finding[] {
  const bySteps = groupBy(points, ({ step }) => step);
  return results.flatMap((result) => {
    const ground = groundOf(result, bySteps.get(result.step) ?? []);
    return figuresOf(result, ground.nominal_Hz).map((figure) => findingOf(result, ground, figure));
  });
}

/** Which kind of step made a result, where no point of the step is left to tell. */
const MADE_BY: Readonly<Record<Result['kind'], StepKindName>> = {
  'power-at-thdn': 'climb',
  knee: 'climb',
  sum: 'climb',
  band: 'sweep',
  ceiling: 'max-power',
  hold: 'hold',
  cause: 'max-power',
};

function groundOf(result: Result, points: readonly Point[]): ResultGround {
  const own =
    'nominal_Hz' in result ? points.filter(({ nominal_Hz }) => nominal_Hz === result.nominal_Hz) : points;
  // Of a frequency without a point of its own the step still tells mains, cell and kind.
  const first = own[0] ?? points[0];
  const kind = first?.stepKind as StepKindName | 'ceiling' | undefined;
  return {
    setting: {
      step: result.step,
      step_kind: kind === 'ceiling' ? 'max-power' : (kind ?? MADE_BY[result.kind]),
      channel: result.kind === 'sum' ? null : result.channel,
      driven: result.driven,
      load_ohm: result.load_ohm,
      mains_V: first?.mains_V ?? null,
      cell: first?.cell ?? '',
    },
    points: own.map(({ number }) => number),
    nominal_Hz: 'nominal_Hz' in result ? result.nominal_Hz : (first?.nominal_Hz ?? null),
  };
}

function findingOf(result: Result, { setting, points }: ResultGround, figure: Figure): Finding {
  const note = 'note' in result ? result.note : '';
  const found = figure.value !== null;
  const remarks: Remark[] = note !== '' && found ? [{ code: 'in-words', text: note }] : [];
  return {
    bound: 'found',
    why: note !== '' && !found ? { code: 'in-words', text: note } : null,
    uncertainty: null,
    budgets: [],
    setting,
    stimulus: { lines_Hz: [], nominal_Hz: null, envelope: { kind: 'steady' } },
    terms: {},
    points,
    flags: 'flags' in result ? result.flags : [],
    remarks,
    ...figure,
  };
}

const toneAt = (frequency_Hz: number, nominal_Hz: number | null): StimulusWords => ({
  lines_Hz: [frequency_Hz],
  nominal_Hz,
  envelope: { kind: 'steady' },
});

function figuresOf(result: Result, nominal_Hz: number | null): Figure[] {
  switch (result.kind) {
    case 'power-at-thdn':
    case 'ceiling':
      return [maxPower(result, nominal_Hz)];
    case 'knee':
      return kneeFigures(result, nominal_Hz);
    case 'band':
      return bandFigures(result);
    case 'hold':
      return holdFigures(result, nominal_Hz);
    case 'sum':
      return [totalPower(result, nominal_Hz)];
    case 'cause':
      return [causeFigure(result)];
  }
}

function maxPower(result: PowerAtThdn | CeilingResult, nominal_Hz: number | null): Figure {
  const { threshold_percent, bracket_dB } = result;
  const terms: Terms = {
    threshold_percent,
    ...(bracket_dB === null ? {} : { bracket_dB }),
    ...('captures' in result ? { captures: result.captures } : {}),
  };
  return {
    quantity: 'max-power',
    statistic: 'at-threshold',
    value: result.power_W,
    uncertainty: result.uncertainty_W,
    budgets: result.budgets ?? [],
    stimulus: toneAt(result.frequency_Hz, nominal_Hz),
    terms,
  };
}

function kneeFigures(result: KneeResult, nominal_Hz: number | null): Figure[] {
  const { frequency_Hz, power_W, uncertainty_W, plateau_percent, governed_by, hardness_dB } = result;
  const stimulus = toneAt(frequency_Hz, nominal_Hz);
  return [
    {
      quantity: 'knee-power',
      statistic: 'value',
      value: power_W,
      uncertainty: uncertainty_W ?? null,
      budgets: result.budgets ?? [],
      stimulus,
    },
    {
      quantity: 'plateau-thdn',
      statistic: 'value',
      value: plateau_percent,
      stimulus,
      terms: governed_by === null ? {} : { governed_by },
    },
    { quantity: 'clipping-interval', statistic: 'difference', value: hardness_dB, stimulus },
  ];
}

function bandFigures(result: BandResult): Figure[] {
  const terms: Terms = { over_Hz: [result.low_Hz, result.high_Hz] };
  const budgets = result.budgets ?? [];
  return [
    {
      quantity: 'power',
      statistic: 'minimum',
      value: result.least_power_W,
      uncertainty: result.least_power_uncertainty_W ?? null,
      budgets: budgets.filter(({ quantity }) => quantity !== 'thdn'),
      stimulus: toneAt(result.least_power_Hz, null),
      terms,
    },
    {
      quantity: 'thdn',
      statistic: 'maximum',
      value: result.most_thdn_percent,
      uncertainty: result.most_thdn_uncertainty_percent ?? null,
      budgets: budgets.filter(({ quantity }) => quantity === 'thdn'),
      stimulus: toneAt(result.most_thdn_Hz, null),
      terms,
    },
  ];
}

function holdFigures(result: HoldResult, nominal_Hz: number | null): Figure[] {
  const stimulus = toneAt(result.frequency_Hz, nominal_Hz);
  const terms: Terms = { seconds: result.seconds };
  const figure = (
    quantity: Figure['quantity'],
    statistic: Figure['statistic'],
    value: number,
    remarks: readonly Remark[] = [],
  ): Figure => ({ quantity, statistic, value, stimulus, terms, remarks });
  const note: Remark[] = result.note === '' ? [] : [{ code: 'in-words', text: result.note }];
  return [
    figure('power', 'first', result.first_W, note),
    figure('power', 'last', result.last_W),
    figure('power', 'minimum', result.least_W),
    figure('dip', 'maximum', result.dip_dB),
    figure('thdn', 'maximum', result.most_thdn_percent),
    figure('dc', 'maximum', result.most_dc_V),
  ];
}

function totalPower(result: SumResult, nominal_Hz: number | null): Figure {
  const { threshold_percent, first_channel } = result;
  return {
    quantity: 'total-power',
    statistic: 'at-threshold',
    value: result.power_W,
    uncertainty: result.uncertainty_W,
    stimulus: toneAt(result.frequency_Hz, nominal_Hz),
    terms: {
      threshold_percent,
      ...(first_channel === null ? {} : { deciding_channel: first_channel }),
    },
  };
}

const causeFigure = ({ causes, frequency_Hz, nominal_Hz }: CauseResult): Figure => ({
  quantity: 'cause',
  statistic: 'value',
  value: causes,
  stimulus: toneAt(frequency_Hz, nominal_Hz),
});

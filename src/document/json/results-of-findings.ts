import { type Finding, numberOf } from '../../record/finding.js';
import type { QuantityName } from '../../record/quantities.js';
import { causesOf } from '../model/cause-words.js';
import { groupsBy } from '../model/finding-groups.js';
import { notesOf } from '../model/reason-words.js';

/** One entry of `results`, as scripts rely on it: what a step found, of seven kinds. */
export type ResultEntry = Readonly<Record<string, unknown>> & { readonly kind: string };

/**
 * Findings as `results` of `show --json` has always had them. Several findings become one result where they belong
 * together: a knee with its plateau, the extremes of a sweep, the course of a hold. Quantities that came later stand under
 * `findings` alone.
 */
export function resultsOf(findings: readonly Finding[]): ResultEntry[] {
  const groups = groupsBy(
    findings.filter((finding) => kindOf(finding) !== null),
    (finding) => [kindOf(finding), finding.setting.step, finding.setting.channel, ...apart(finding)],
  );
  return groups.map((own) => entryOf(kindOf(own[0]!)!, own));
}

const KNEE: ReadonlySet<QuantityName> = new Set(['knee-power', 'plateau-thdn', 'clipping-interval']);
const HELD: ReadonlySet<QuantityName> = new Set(['power', 'thdn', 'dip', 'dc']);

type Kind = 'power-at-thdn' | 'ceiling' | 'knee' | 'band' | 'hold' | 'sum' | 'cause';

function kindOf({ quantity, setting, terms }: Finding): Kind | null {
  if (quantity === 'max-power') return setting.step_kind === 'max-power' ? 'ceiling' : 'power-at-thdn';
  if (quantity === 'total-power') return 'sum';
  if (quantity === 'cause') return 'cause';
  if (KNEE.has(quantity)) return 'knee';
  if ((quantity === 'power' || quantity === 'thdn') && terms.over_Hz) return 'band';
  return HELD.has(quantity) && terms.seconds !== undefined && setting.step_kind === 'hold' ? 'hold' : null;
}

/** What tells results of one kind, step and channel from each other. */
const apart = ({ quantity, stimulus, terms }: Finding): unknown[] =>
  quantity === 'max-power' || quantity === 'total-power' || quantity === 'cause'
    ? [terms.threshold_percent, stimulus.nominal_Hz, stimulus.lines_Hz]
    : [];

function entryOf(kind: Kind, own: readonly Finding[]): ResultEntry {
  const [first] = own as readonly [Finding, ...Finding[]];
  const { step, channel, driven, load_ohm } = first.setting;
  const budgets = own.flatMap((finding) => finding.budgets);
  return {
    kind,
    step,
    channel: channel ?? 0,
    driven,
    load_ohm,
    ...FIELDS[kind](own, first),
    ...(budgets.length > 0 ? { budgets } : {}),
  };
}

type Fields = (own: readonly Finding[], first: Finding) => Readonly<Record<string, unknown>>;

const FIELDS: Readonly<Record<Kind, Fields>> = {
  'power-at-thdn': (_, first) => ({
    ...toneOf(first),
    ...powerOf(first),
    ...bracketOf(first),
    ...noteOf(first),
  }),
  ceiling: (_, first) => ({
    nominal_Hz: first.stimulus.nominal_Hz,
    ...toneOf(first),
    ...powerOf(first),
    ...bracketOf(first),
    captures: first.terms.captures ?? null,
    flags: first.flags,
    ...noteOf(first),
  }),
  sum: (_, first) => ({
    ...toneOf(first),
    ...powerOf(first),
    first_channel: first.terms.deciding_channel ?? null,
    ...noteOf(first),
  }),
  knee: (own, first) => {
    const knee = own.find(({ quantity }) => quantity === 'knee-power') ?? first;
    const plateau = own.find(({ quantity }) => quantity === 'plateau-thdn');
    return {
      ...toneOf(knee),
      power_W: numberOf(knee),
      uncertainty_W: knee.uncertainty,
      plateau_percent: plateau ? numberOf(plateau) : null,
      governed_by: plateau?.terms.governed_by ?? null,
      hardness_dB: figureOf(own, 'clipping-interval'),
      ...noteOf(knee),
    };
  },
  band: (own, first) => {
    const [power, thdn] = (['power', 'thdn'] as const).map((name) =>
      own.find(({ quantity }) => quantity === name),
    );
    return {
      low_Hz: first.terms.over_Hz?.[0] ?? null,
      high_Hz: first.terms.over_Hz?.[1] ?? null,
      least_power_W: power ? numberOf(power) : null,
      least_power_Hz: power?.stimulus.lines_Hz[0] ?? null,
      least_power_uncertainty_W: power?.uncertainty ?? null,
      most_thdn_percent: thdn ? numberOf(thdn) : null,
      most_thdn_Hz: thdn?.stimulus.lines_Hz[0] ?? null,
      most_thdn_uncertainty_percent: thdn?.uncertainty ?? null,
      flags: first.flags,
    };
  },
  hold: (own, first) => ({
    ...toneOf(first),
    seconds: first.terms.seconds,
    first_W: figureOf(own, 'power', 'first'),
    last_W: figureOf(own, 'power', 'last'),
    least_W: figureOf(own, 'power', 'minimum'),
    dip_dB: figureOf(own, 'dip'),
    most_thdn_percent: figureOf(own, 'thdn'),
    most_dc_V: figureOf(own, 'dc'),
    ...noteOf(first),
  }),
  cause: (_, first) => ({
    nominal_Hz: first.stimulus.nominal_Hz,
    ...toneOf(first),
    causes: causesOf(first),
  }),
};

const toneOf = ({ stimulus }: Finding) => ({ frequency_Hz: stimulus.lines_Hz[0] ?? null });

const powerOf = (finding: Finding) => ({
  threshold_percent: finding.terms.threshold_percent ?? null,
  power_W: numberOf(finding),
  uncertainty_W: finding.uncertainty,
});

const bracketOf = ({ terms }: Finding) => ({ bracket_dB: terms.bracket_dB ?? null });

const noteOf = (finding: Finding) => ({ note: notesOf(finding).join('; ') });

const figureOf = (own: readonly Finding[], quantity: QuantityName, statistic?: Finding['statistic']) => {
  const found = own.find(
    (one) => one.quantity === quantity && (statistic === undefined || one.statistic === statistic),
  );
  return found ? numberOf(found) : null;
};

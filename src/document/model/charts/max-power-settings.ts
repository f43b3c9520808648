import { type Finding, numberOf } from '../../../record/finding.js';
import { findingsOf } from '../../../record/findings-of.js';
import type { RunRecord } from '../../../record/run-record.js';
import { formatQuantity } from '../../../units/format.js';
import { groupBy } from '../../../units/group-by.js';
import type { PlayedSetting } from '../block.js';
import { drivenWords, mainsWords } from '../wording.js';

/** Maximum powers of one setting: one limit into one load, with one set of channels driven, at one mains voltage. */
export interface MaxPowerSetting extends PlayedSetting {
  readonly threshold_percent: number;
  /** By channel, each by rising frequency. */
  readonly channels: ReadonlyMap<number, readonly Finding[]>;
  /** Rising. */
  readonly nominals_Hz: readonly number[];
  /** What was found to limit the power, in the same setting. */
  readonly causes: readonly Finding[];
}

export const plottedFrequency = ({ stimulus }: Finding): number =>
  stimulus.nominal_Hz ?? stimulus.lines_Hz[0] ?? Number.NaN;

/** The searches of a run for maximum power, setting by setting; passes of one setting are put together. */
export function maxPowerSettings(record: RunRecord): MaxPowerSetting[] {
  const findings = findingsOf(record).filter(({ setting }) => setting.step_kind === 'max-power');
  const searched = findings.filter(
    ({ quantity, terms }) => quantity === 'max-power' && terms.over_Hz === undefined,
  );
  const settings = groupBy(searched, (finding) => keyOf(finding, finding.terms.threshold_percent));
  return [...settings.values()].map((own) => settingOf(own, findings));
}

const keyOf = ({ setting }: Finding, threshold_percent?: number): string =>
  JSON.stringify([threshold_percent ?? null, setting.load_ohm, setting.driven, setting.mains_V]);

function settingOf(own: readonly Finding[], all: readonly Finding[]): MaxPowerSetting {
  const { setting, terms } = own[0]!;
  const sorted = own.toSorted((a, b) => plottedFrequency(a) - plottedFrequency(b));
  const numbers = [...new Set(own.map((finding) => finding.setting.channel ?? 0))].sort((a, b) => a - b);
  return {
    threshold_percent: terms.threshold_percent ?? Number.NaN,
    load_ohm: setting.load_ohm,
    driven: setting.driven,
    mains_V: setting.mains_V,
    step: setting.step,
    channels: new Map(
      numbers.map((channel) => [channel, sorted.filter((one) => (one.setting.channel ?? 0) === channel)]),
    ),
    nominals_Hz: [...new Set(sorted.map(plottedFrequency))],
    causes: all.filter((one) => one.quantity === 'cause' && keyOf(one) === keyOf(own[0]!)),
  };
}

/** The findings of a setting that have a power, from the lowest to the highest. */
export const findingsWithPower = ({ channels }: MaxPowerSetting): Finding[] =>
  [...channels.values()]
    .flat()
    .filter((finding) => numberOf(finding) !== null)
    .sort((a, b) => numberOf(a)! - numberOf(b)!);

/** `0.1 % THD+N`, `8 ohm`, `channels 1 and 2 driven`, `230 V mains`: the setting part by part. */
export const settingParts = ({ threshold_percent, load_ohm, driven, mains_V }: MaxPowerSetting): string[] => [
  `${formatQuantity(threshold_percent, '%')} THD+N`,
  formatQuantity(load_ohm, 'ohm'),
  drivenWords(driven),
  ...(mains_V === null ? [] : [mainsWords(mains_V)]),
];

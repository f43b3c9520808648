import { type Finding, type Interval, numberOf, type Statistic, type Value } from '../../record/finding.js';
import { type QuantityTraits, quantityNamed } from '../../record/quantities.js';
import { formatDuration, formatQuantity } from '../../units/format.js';
import { formatUncertain } from '../../units/format-uncertain.js';
import { frequencyWords } from '../../units/nominal-frequency.js';
import type { TableCell } from './block.js';
import { causesInShort } from './cause-words.js';
import { channelWords, drivenWords, factorWords, mainsWords } from './wording.js';

/** What stands where there is no figure. */
export const NONE = '–';

/** What stands before the name of a quantity, and behind it. */
const AROUND: Readonly<Record<Statistic, readonly [before: string, behind: string]>> = {
  value: ['', ''],
  minimum: ['Lowest ', ''],
  maximum: ['Highest ', ''],
  first: ['', ' at the start'],
  last: ['', ' at the end'],
  'at-threshold': ['', ''],
  difference: ['', ''],
};

/** What stands before a figure that is only a bound. */
export const BOUNDS: Readonly<Record<Finding['bound'], string>> = {
  found: '',
  'at-least': 'at least ',
  'at-most': 'at most ',
};

/** `Maximum power at 0.1 % THD+N`, `Lowest power`, `Noise and hum, A-weighted`: what a finding is a figure of. */
export function findingName({ quantity, statistic, terms }: Finding): string {
  const name = quantityNamed(quantity)?.name ?? quantity;
  const [before, behind] = AROUND[statistic] ?? ['', ''];
  const at =
    terms.threshold_percent === undefined ? '' : ` at ${formatQuantity(terms.threshold_percent, '%')} THD+N`;
  const weighting =
    terms.weighting === undefined ? '' : terms.weighting === 'A' ? ', A-weighted' : ', unweighted';
  return `${before}${before === '' ? name : lowered(name)}${behind}${at}${weighting}`;
}

/** Abbreviations keep their capitals. */
const lowered = (name: string): string =>
  /^[A-Z][a-z]/.test(name) ? name.charAt(0).toLowerCase() + name.slice(1) : name;

/** `at least 87.7 W ± 0.7 W`, `22.0 W to 31.0 W`, `supply sag 0.87`; a dash where there is no value. */
export const valueWords = (finding: Finding): string =>
  finding.value === null ? NONE : `${BOUNDS[finding.bound]}${plainValue(finding, finding.value)}`;

function plainValue({ quantity, uncertainty }: Finding, value: Value): string {
  if (typeof value === 'number') return numberWords(value, uncertainty, quantityNamed(quantity));
  if (value.length === 0) return 'none';
  return value.map((one) => (isInterval(one) ? intervalWords(one) : causesInShort([one]))).join(', ');
}

const isInterval = (one: Interval | { readonly cause: string }): one is Interval => Array.isArray(one);

const intervalWords = ([low_W, high_W]: Interval): string =>
  low_W === high_W
    ? formatQuantity(low_W, 'W')
    : `${formatQuantity(low_W, 'W')} to ${formatQuantity(high_W, 'W')}`;

/** Three figures are the usual ones of a unit, which knows better where one more is worth printing. */
const USUAL = 3;

function numberWords(value: number, uncertainty: number | null, quantity: QuantityTraits | null): string {
  const unit = quantity?.unit;
  if (!quantity || !unit) return String(Number(value.toPrecision(4)));
  if (uncertainty !== null) return formatUncertain(value, uncertainty, unit);
  const { least } = quantity;
  if (least !== undefined && Math.abs(value) < least) return `below ${formatQuantity(least, unit)}`;
  // Of a share the unit itself knows what is too small to be spelt out.
  const usual = quantity.figures === USUAL || unit === '%';
  return formatQuantity(value, unit, usual ? {} : { figures: quantity.figures });
}

/** A finding as a cell of a table, with its exact value; a dash where there is none. */
export function findingCell(finding: Finding | undefined): TableCell {
  const value = finding && numberOf(finding);
  if (!finding || value === null || value === undefined) return finding ? valueWords(finding) : NONE;
  return { text: valueWords(finding), exact: value };
}

/** The frequency that a finding is for, or where it lies; null for one without a tone. */
export const frequencyOf = ({ stimulus }: Pick<Finding, 'stimulus'>): number | null =>
  stimulus.nominal_Hz ?? stimulus.lines_Hz[0] ?? null;

/** `1 kHz`; a dash for a finding without a tone. */
export function placeWords(finding: Pick<Finding, 'stimulus'> | undefined): string {
  const frequency_Hz = finding && frequencyOf(finding);
  return frequency_Hz == null ? NONE : frequencyWords(frequency_Hz);
}

/** `0.1 % THD+N, 8 ohm, channels 1 and 2 driven, 230 V mains, 300 s`: on what terms. */
export function termsWords({ setting, terms }: Finding): string {
  const { load_ohm, driven, mains_V, cell } = setting;
  const { over_Hz, seconds } = terms;
  return [
    ...(over_Hz ? [`${frequencyWords(over_Hz[0])} to ${frequencyWords(over_Hz[1])}`] : []),
    formatQuantity(load_ohm, 'ohm'),
    drivenWords(driven),
    ...(mains_V === null ? [] : [mainsWords(mains_V)]),
    ...(seconds === undefined ? [] : [formatDuration(seconds)]),
    ...(cell === '' || cell === formatQuantity(load_ohm, 'ohm') ? [] : [cell]),
  ].join(', ');
}

/** `channel 2`, or all of them. */
export const whoseWords = ({ setting }: Pick<Finding, 'setting'>): string =>
  setting.channel === null ? 'all channels' : channelWords([setting.channel]);

/** What a reader is told about the uncertainty of a set of figures: `U with k = 2 to 2.13`. */
export function uncertaintyWords(findings: readonly Finding[]): string {
  const found = findings.filter((finding) => numberOf(finding) !== null);
  const stated = found.filter(({ uncertainty }) => uncertainty !== null);
  if (stated.length === 0) return 'no uncertainty stated';
  const words = `U with ${factorWords(stated.map(({ budgets }) => budgets[0]?.coverage_factor ?? 2))}`;
  return stated.length === found.length ? words : `${words} where given; no uncertainty stated elsewhere`;
}

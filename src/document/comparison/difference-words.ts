import type { Finding } from '../../record/finding.js';
import { formatQuantity } from '../../units/format.js';
import { formatUncertain } from '../../units/format-uncertain.js';
import { frequencyWords } from '../../units/nominal-frequency.js';
import type { Unit } from '../../units/quantity.js';
import { UNIT_RULES } from '../../units/unit-rules.js';
import { findingName, frequencyOf, NONE, valueWords } from '../model/finding-words.js';
import { channelWords, drivenWords, mainsWords } from '../model/wording.js';
import type { Difference } from './difference.js';
import type { RunFigure } from './figures-of-run.js';
import { stepName, tonesWords } from './match-figures.js';

/** `87.7 W ± 0.7 W`, or that the run found none. */
export const figureWords = ({ finding, value }: RunFigure): string =>
  value === null ? 'none' : valueWords(finding);

/** With its sign, unless nothing is left of it in print. */
const signed = (value: number, text: string): string =>
  value > 0 && /[1-9]/.test(text.split('±')[0]!) ? `+${text}` : text;

/** No bench but a computed one knows a figure to less than this share of it, or THD+N to less than this many percent. */
const FINEST = 1e-5;

/** `+2.90 ± 0.51 W`: a change with the prefix of its figure. Without an uncertainty it is as fine as the figure is printed. */
export function changeWords({ difference, uncertainty }: Difference, { unit, value }: RunFigure): string {
  const size = Math.abs(value ?? 0) || 1;
  const { symbol, factor } = prefixOf(size, unit === '' ? '1' : unit);
  const step = Math.max(unit === '%' ? FINEST : 0, 10 ** (Math.floor(Math.log10(size)) - 2));
  const text =
    uncertainty === null
      ? formatQuantity((Math.round(difference / step) * step || 0) / factor, '1', { figures: 2 })
      : formatUncertain(difference / factor, Math.max(uncertainty, FINEST * size) / factor, '1');
  return signed(difference, `${text} ${symbol}`.trimEnd());
}

const prefixOf = (value: number, unit: Unit): { readonly symbol: string; readonly factor: number } => {
  const printed = formatQuantity(value, unit);
  const one = UNIT_RULES[unit].printed.find(({ symbol }) => printed.endsWith(` ${symbol}`));
  return one ?? { symbol: unit === '1' ? '' : unit, factor: 1 };
};

/** A thousandth of a decibel is 0.02 % of power: nothing finer matters to anybody. */
const FINEST_dB = 1e-3;

/** `+0.13 ± 0.02 dB`; a dash where no ratio is taken. */
export function decibelWords({ difference_dB, uncertainty_dB }: Difference): string {
  if (difference_dB === null) return NONE;
  const text =
    uncertainty_dB === null
      ? difference_dB.toFixed(2).replace('-0.00', '0.00')
      : formatUncertain(difference_dB, Math.max(FINEST_dB, uncertainty_dB), '1');
  return signed(difference_dB, `${text} dB`);
}

/** Stands before whatever compares unlike settings. */
export const UNLIKE = '\u2260';

/** What can be said of a difference: nothing beyond its uncertainty. */
export function concludedWords(difference: Difference | null): string {
  if (difference === null) return 'one of them found none';
  const { finding, run, to, unlike } = difference;
  const mark = unlike.length > 0 ? `${UNLIKE} ` : '';
  switch (finding) {
    case 'not told':
      return `${mark}no U stated`;
    case 'alike':
      return `${mark}equal`;
    case 'more':
      return `${mark}run ${run} higher`;
    case 'less':
      return `${mark}run ${to} higher`;
  }
}

/** `Lowest maximum power at 0.1 % THD+N, channel 1`: what a row of figures says. */
export const figureName = ({ finding, channel }: RunFigure): string =>
  `${findingName(finding)}${channel === 0 ? '' : `, ${channelWords([channel])}`}`;

/** `climb-1k: 1 kHz, 8 ohm, channels 1 and 2 driven`: the setting that rows of one heading share. */
export function settingName({ held, step, band_Hz, load_ohm, driven, mains_V }: RunFigure): string {
  const named = held ? `${stepName(step)}: ` : '';
  const mains = mains_V === null ? '' : `, ${mainsWords(mains_V)}`;
  return `${named}${tonesWords(band_Hz)}, ${formatQuantity(load_ohm, 'ohm')}, ${drivenWords(driven)}${mains}`;
}

/** Where figures that are the worst of a band were found, run by run unless they agree; empty for any other. */
export function whereFound(figures: readonly RunFigure[]): string {
  const found = figures.filter(({ finding, value }) => finding.terms.over_Hz !== undefined && value !== null);
  const places = found.map(({ run, finding }) => ({ run, at: placeOf(finding) }));
  if (places.length === 0) return '';
  const same = places.every(({ at }) => at === places[0]!.at);
  return same ? `at ${places[0]!.at}` : places.map(({ run, at }) => `run ${run} at ${at}`).join(', ');
}

const placeOf = (finding: Finding): string => frequencyWords(frequencyOf(finding) ?? 0);

import { formatQuantity } from '../../units/format.js';
import { UNIT_RULES } from '../../units/unit-rules.js';
import { channelWords, drivenWords, mainsWords, powerWithin } from '../model/wording.js';
import type { Difference } from './difference.js';
import { bandWords, stepName } from './match-figures.js';
import type { FigureKind, RunFigure } from './run-figure.js';

const signed = (value: number, text: string): string => (value < 0 ? text : `+${text}`);

/** An uncertainty of less than this share of its figure, on a bench that is computed exactly, is not spelt out. */
const LEAST_PERCENT = 0.0001;

const isNothing = (uncertainty: number | null, value: number): boolean =>
  uncertainty !== null && 100 * uncertainty < LEAST_PERCENT * Math.abs(value);

/** `92.1 W ± 0.9 W`, or a dash where the run found none. */
export function figureWords({ value, uncertainty, unit }: RunFigure): string {
  if (value === null) return 'none';
  if (unit === 'W')
    return isNothing(uncertainty, value)
      ? `${powerWithin(value, null)} ± <${LEAST_PERCENT} %`
      : powerWithin(value, uncertainty);
  const figure = formatQuantity(value, '%');
  return uncertainty === null ? figure : `${figure} ± ${formatQuantity(uncertainty, '%', { figures: 2 })}`;
}

/** `+2.90 ± 0.51 W`: the uncertainty to two figures and the difference to the same place, in the unit of the figure. */
export function changeWords({ difference, uncertainty }: Difference, { value, unit }: RunFigure): string {
  const { symbol, factor } = scaleOf(value ?? 0, unit);
  const told = isNothing(uncertainty, value ?? 0) ? null : uncertainty;
  const [change, within] = [difference / factor, told === null ? null : told / factor];
  const decimals = decimalsFor(within ?? change / 10);
  const text = change.toFixed(decimals);
  return `${signed(change, text)}${within === null ? '' : ` ± ${within.toFixed(decimals)}`} ${symbol}`;
}

/** The prefix that a figure is printed with. */
function scaleOf(
  value: number,
  unit: RunFigure['unit'],
): { readonly symbol: string; readonly factor: number } {
  const printed = formatQuantity(value, unit);
  return (
    UNIT_RULES[unit].printed.find(({ symbol }) => printed.endsWith(` ${symbol}`)) ?? {
      symbol: unit,
      factor: 1,
    }
  );
}

/** Decimals that show two figures of a value. */
const decimalsFor = (value: number): number =>
  value === 0 ? 2 : Math.min(6, Math.max(0, 1 - Math.floor(Math.log10(Math.abs(value)))));

/** A thousandth of a decibel is 0.02 % of power: nothing finer matters to anybody. */
const MOST_DECIMALS = 3;
const LEAST_SHOWN_dB = 10 ** -MOST_DECIMALS;

/** `+0.13 ± 0.02`, decibels. Two decimals, more where the uncertainty is finer. */
export function decibelWords({ difference_dB, uncertainty_dB }: Difference): string {
  if (uncertainty_dB === null) return `${signed(difference_dB, difference_dB.toFixed(2))}`;
  const decimals = Math.min(MOST_DECIMALS, Math.max(2, decimalsFor(uncertainty_dB)));
  const within = uncertainty_dB < LEAST_SHOWN_dB ? `<${LEAST_SHOWN_dB}` : uncertainty_dB.toFixed(decimals);
  return `${signed(difference_dB, difference_dB.toFixed(decimals))} ± ${within}`;
}

/** Stands before whatever compares unlike settings. */
export const UNLIKE = '\u2260';

/** What can be said of a difference: nothing beyond its uncertainty. */
export function findingWords(difference: Difference | null, unit: RunFigure['unit']): string {
  if (difference === null) return 'one of them found none';
  const { finding, run, to, unlike } = difference;
  const mark = unlike.length > 0 ? `${UNLIKE} ` : '';
  switch (finding) {
    case 'not told':
      return `${mark}no uncertainty stated`;
    case 'alike':
      return `${mark}alike within U`;
    case 'more':
    case 'less': {
      const greater = finding === 'more' ? run : to;
      const does = unit === 'W' ? 'gives' : 'distorts';
      return `${mark}run ${greater} ${does} more`;
    }
  }
}

const KINDS: Readonly<Record<FigureKind, string>> = {
  'power-at-thdn': 'Power at',
  sum: 'All channels together at',
  knee: 'Knee',
  'least-ceiling': 'Least power across the band at',
  ceiling: 'Most power at',
  'band-power': 'Least power of the sweep',
  'band-thdn': 'Most THD+N of the sweep',
  'hold-power': 'Power at the end of the hold',
  'hold-thdn': 'Most THD+N of the hold',
};

/** `Power at 0.1 % THD+N`: what a row of figures says. */
export function figureName({ kind, threshold_percent }: RunFigure): string {
  const name = KINDS[kind];
  return threshold_percent === null ? name : `${name} ${formatQuantity(threshold_percent, '%')} THD+N`;
}

/** `1 kHz, 8 ohm, channels 1 and 2 driven`: the conditions of a figure. */
export function conditionsName({ band_Hz, load_ohm, driven, mains_V }: RunFigure): string {
  const mains = mains_V === null ? '' : `, ${mainsWords(mains_V)}`;
  return `${bandWords(band_Hz)}, ${formatQuantity(load_ohm, 'ohm')}, ${drivenWords(driven)}${mains}`;
}

/** `climb-1k: 1 kHz, 8 ohm, channels 1 and 2 driven`: the setting that rows of one heading share. */
export function settingName(figure: RunFigure): string {
  // Ceilings of one setting are searched in passes, whose steps have names of their own.
  const named = figure.kind.endsWith('ceiling') ? '' : `${stepName(figure.step)}: `;
  return `${named}${conditionsName(figure)}`;
}

export const channelName = ({ channel }: RunFigure): string =>
  channel === 0 ? 'all' : channelWords([channel]);

/** Where figures that are the worst of a band were found, run by run unless they agree; empty for any other. */
export function whereFound(figures: readonly RunFigure[]): string {
  const found = figures.filter(({ band_Hz, value }) => band_Hz[0] !== band_Hz[1] && value !== null);
  const places = found.map(({ run, frequency_Hz }) => ({
    run,
    at: formatQuantity(frequency_Hz, 'Hz', { figures: 3, trim: true }),
  }));
  if (places.length === 0) return '';
  const same = places.every(({ at }) => at === places[0]!.at);
  return same ? `at ${places[0]!.at}` : places.map(({ run, at }) => `run ${run} at ${at}`).join(', ');
}

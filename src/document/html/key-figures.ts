import type { BandResult, PowerAtThdn } from '../../record/old-results.js';
import type { RunRecord } from '../../record/run-record.js';
import { formatQuantity } from '../../units/format.js';
import { nameIfSeveral, tellingBand } from '../chart/telling-band.js';
import { type CeilingGroup, leastCeiling, withoutCeiling } from '../model/ceiling-groups.js';
import { tellingCeilings } from '../model/ceiling-headline.js';
import { channelWords, factorWords, powerFactor, uncertaintyBeside } from '../model/wording.js';
import { oneLine } from '../text/visible-text.js';
import { html, type Markup } from './markup.js';
import { typeset } from './typeset.js';

/** The few figures that a reader looks for first, set large: the weakest channel of the telling climb and band. */
export function keyFigures(record: RunRecord): Markup {
  const marks = record.results.filter((result) => result.kind === 'power-at-thdn');
  const bands = tellingBand(record);
  const shown = [
    ...tellingCeilings(record).slice(0, 2).flatMap(ceilingEntry),
    ...weakestMarks(marks).map((mark) => markEntry(mark, marks)),
    ...bandEntries(bands, nameIfSeveral(record, bands), askedWords(record, bands)),
  ];
  return shown.length === 0 ? html`` : html`<dl class="keys">${shown}</dl>`;
}

const entry = (name: string, value: string, below: string): Markup =>
  html`<div><dt>${typeset(name)}</dt><dd>${typeset(value)}<small>${typeset(below)}</small></dd></div>`;

function ceilingEntry(group: CeilingGroup): Markup[] {
  const least = leastCeiling(group);
  if (!least) return [];
  const { threshold_percent, load_ohm, nominals_Hz } = group;
  const [low, high] = [nominals_Hz[0]!, nominals_Hz.at(-1)!].map((hz) =>
    formatQuantity(hz, 'Hz', { figures: 3, trim: true }),
  );
  const power = formatQuantity(least.power_W, 'W');
  const none = withoutCeiling(group).length > 0 ? '; not everywhere found' : '';
  return [
    entry(
      `From ${low} to ${high} at ${formatQuantity(threshold_percent, '%')} THD+N`,
      power,
      `${withinWords(power, least)}, ${formatQuantity(load_ohm, 'ohm')}, least at ${formatQuantity(least.nominal_Hz, 'Hz', { figures: 3, trim: true })}, channel ${least.channel}${none}`,
    ),
  ];
}

type Uncertain = Pick<PowerAtThdn, 'uncertainty_W' | 'budgets'>;

const withinWords = (power: string, result: Uncertain): string =>
  result.uncertainty_W === null
    ? 'no uncertainty stated'
    : `± ${uncertaintyBeside(power, result.uncertainty_W)} (${factorWords([powerFactor(result)])})`;

/** Of the climb with most channels driven, which is what a unit is to be held to; of several such the first. */
function weakestMarks(marks: readonly PowerAtThdn[]): PowerAtThdn[] {
  if (marks.length === 0) return [];
  const telling = marks.reduce((best, mark) => (mark.driven.length > best.driven.length ? mark : best));
  const first = marks.filter(
    ({ step, load_ohm, driven }) =>
      step === telling.step && load_ohm === telling.load_ohm && driven.join() === telling.driven.join(),
  );
  const thresholds = [...new Set(first.map((mark) => mark.threshold_percent))].sort((a, b) => a - b);
  return thresholds.flatMap((percent) => {
    const found = first.filter((mark) => mark.threshold_percent === percent && mark.power_W !== null);
    return found.length === 0 ? [] : [found.reduce((a, b) => (b.power_W! < a.power_W! ? b : a))];
  });
}

function markEntry(mark: PowerAtThdn, marks: readonly PowerAtThdn[]): Markup {
  const { step, threshold_percent, power_W, load_ohm, channel, driven } = mark;
  const power = formatQuantity(power_W!, 'W');
  const within = withinWords(power, mark);
  const none = marks.filter(
    (other) => other.step === step && other.threshold_percent === threshold_percent && other.power_W === null,
  );
  const rank =
    none.length > 0 ? `; none found on ${channelWords(none.map((other) => other.channel))}` : ', the weakest';
  const who = driven.length > 1 ? `, channel ${channel}${rank}` : '';
  return entry(
    `At ${formatQuantity(threshold_percent, '%')} THD+N`,
    power,
    `${within}, ${formatQuantity(load_ohm, 'ohm')}${who}`,
  );
}

/** What a sweep was to hold: without it, the least power of one at an eighth of the power looks like a unit that gives way. */
function askedWords({ points }: RunRecord, bands: readonly BandResult[]): string {
  const asked = points.filter(({ step }) => step === bands[0]?.step).map(({ asked_W }) => asked_W);
  if (asked.length === 0 || asked.some((power_W) => power_W === null)) return '';
  const [least, most] = [Math.min(...asked.map(Number)), Math.max(...asked.map(Number))].map((power_W) =>
    formatQuantity(power_W, 'W'),
  );
  return `; ${least === most ? least : `${least} to ${most}`} asked for`;
}

function bandEntries(bands: readonly BandResult[], sweep: string, asked: string): Markup[] {
  if (bands.length === 0) return [];
  const weakest = bands.reduce((a, b) => (b.least_power_W < a.least_power_W ? b : a));
  const dirtiest = bands.reduce((a, b) => (b.most_thdn_percent > a.most_thdn_percent ? b : a));
  const named = sweep === '' ? '' : `, sweep ${oneLine(sweep, 40)}`;
  const at = (frequency_Hz: number) => `at ${formatQuantity(frequency_Hz, 'Hz', { figures: 3 })}`;
  return [
    entry(
      'Least power of the sweep',
      formatQuantity(weakest.least_power_W, 'W'),
      `${at(weakest.least_power_Hz)}, channel ${weakest.channel}${named}${asked}`,
    ),
    entry(
      'Most THD+N of the sweep',
      formatQuantity(dirtiest.most_thdn_percent, '%'),
      `${at(dirtiest.most_thdn_Hz)}, channel ${dirtiest.channel}${named}`,
    ),
  ];
}

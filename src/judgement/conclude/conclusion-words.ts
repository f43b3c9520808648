import { nominalWords } from '../../calibration/nominal-match.js';
import type { CauseCode } from '../../measure/cause/question.js';
import { formatDuration, formatQuantity } from '../../units/format.js';
import { formatUncertain } from '../../units/format-uncertain.js';
import { listed } from '../../units/listed.js';
import { frequencyWords } from '../../units/nominal-frequency.js';
import { checkWords } from '../check/check-words.js';
import { plainPower } from '../power-words.js';
import type { RatedPower } from '../rating/rating.js';
import { capital, conflictWords, intervalWords, witnessWords } from '../verdict/verdict-reason.js';
import type {
  ConclusionCode,
  ConclusionPlace,
  ConclusionSetting,
  EndedEarly,
  ExceededBy,
  LastRead,
  OutOfLine,
  Said,
} from './conclusion.js';

/** Every sentence in which a run's conclusions are told. */
export const sentenceOf = (said: Said): string => (SENTENCES[said.code] as (said: Said) => string)(said);

type Sentences = {
  readonly [Code in ConclusionCode]: (said: Extract<Said, { readonly code: Code }>) => string;
};

const percent = (value: number): string => formatQuantity(value, '%', { trim: true });
const watts = plainPower;
const volts = (value: number): string => formatQuantity(value, 'V', { figures: 3 });
/** What is too small to be printed is said to be below something already. */
const under = (value: number): string => `below ${percent(value)}`.replace(/^below below/, 'below');
const thdn = (value: number): string => `${percent(value)} THD+N`;

const SENTENCES: Sentences = {
  'ended-early': ({ outcome, reason, last }) =>
    `${OUTCOMES[outcome]}${lastWords(last)}${reason === '' ? '' : `: ${reason.replace(/\.$/, '')}`}.`,
  'shut-down': ({ place, evidence, last }) =>
    `Channel ${place.channel} shut down at ${frequencyWords(place.nominal_Hz)}, ${settingWords(place.setting)}${lastWords(last)}: ${evidence.join('; ')}. Protection of the unit is likely; a lead that has come off shows the same.`,
  'out-of-line': ({ place, against, out }) => `${capital(outWords(place, against, out))}.`,
  'exceeded-below': ({ place, limit_percent, intervals, worst, because, alike, unfit }) =>
    `Channel ${place.channel} has ${BECAUSE[because]}: ${percent(worst.percent)} at ${watts(worst.power_W)}, ${frequencyWords(place.nominal_Hz)}. It exceeds ${thdn(limit_percent)} ${intervals.map(intervalWords).join(' and ')}${unfit ? '; not fit for a rating' : ''}.${alikeWords(alike)}`,
  'load-off-nominal': ({ channel, load_ohm, measured_ohm }) =>
    `Channel ${channel}: ${nominalWords(measured_ohm, load_ohm)}. Its powers are powers into ${formatQuantity(measured_ohm, 'ohm', { trim: true })}.`,
  'source-clips': ({ input_V, channels }) =>
    `All channels (${channels.join(', ')}) start to clip at the same input voltage, ${volts(input_V)} rms, whatever their gain. The source or the input stage of the unit clips, not its output.`,
  'stopped-following': ({ place, stopped }) =>
    `At ${frequencyWords(place.nominal_Hz)} the output of channel ${place.channel} stops following the drive: ${watts(stopped.delivered_W)} delivered where the drive calls for ${watts(stopped.linear_W)} (${formatQuantity(stopped.behind_dB, 'dB', { figures: 2 })} less), with THD+N at ${percent(stopped.percent)}.`,
  contradictory: ({ place, limit_percent, conflict }) =>
    `Inconclusive at ${thdn(limit_percent)}, ${frequencyWords(place.nominal_Hz)}, channel ${place.channel}: ${conflictWords(conflict)}.`,
  'full-band-power': ({ setting, limit_percent, over_Hz, power, rating_W }) =>
    `${capital(powerWords(power))}${each(setting)} at ${thdn(limit_percent)}, ${over_Hz.map(frequencyWords).join(' to ')}, ${settingWords(setting)} (limited at ${placeWords(power)}; measuring band ${power.band_Hz.map(frequencyWords).join(' to ')})${doubtWords(power)}.${rating_W === null ? '' : ` Rating ${formatQuantity(rating_W, 'W', { trim: true })}.`}`,
  'no-full-band-power': ({ setting, limit_percent, why }) =>
    `No full-band power at ${thdn(limit_percent)}, ${settingWords(setting)}: ${whyWords(why)}.`,
  'power-at': ({ setting, nominal_Hz, powers, brief }) =>
    `${capital(brief ? `at ${frequencyWords(nominal_Hz)}: ` : '')}${powers.map(({ limit_percent, power }) => `${powerWords(power)} at ${percent(limit_percent)}${doubtWords(power)}`).join(', ')} THD+N${brief ? '' : `${each(setting)}, ${frequencyWords(nominal_Hz)}, ${settingWords(setting)}`}.`,
  'climb-ended': ({ setting, nominal_Hz, channel, limit_percent, delivered_W, percent: read, end }) => {
    const which = setting.driven.length > 1 ? `, channel ${channel}` : '';
    const where = `${frequencyWords(nominal_Hz)}, ${settingWords(setting)}${which}`;
    return end.by === 'never-below'
      ? `No power at ${thdn(limit_percent)}, ${where}: THD+N stayed above it, lowest ${percent(end.best_percent)} at ${watts(end.best_W)}.`
      : `At least ${watts(delivered_W)} at ${thdn(limit_percent)}, ${where} (THD+N ${percent(read)} there): ${ENDS[end.by](end as never)}.`;
  },
  'level-kept': ({ setting, lowest_W, percent: highest, at_Hz, over_Hz, blind }) =>
    `At ${watts(lowest_W)}, THD+N stays ${under(highest)} from ${over_Hz.map(frequencyWords).join(' to ')} (highest at ${frequencyWords(at_Hz)}), ${settingWords(setting)}${blind ? '; harmonics of the treble lie outside the measuring band' : ''}.`,
  held: ({ setting, nominal_Hz, lowest_W, seconds, percent: highest }) =>
    `Held for ${formatDuration(seconds)} at ${frequencyWords(nominal_Hz)}: at least ${watts(lowest_W)}, THD+N at most ${percent(highest)}, ${settingWords(setting)}.`,
  'limited-by': ({ place, cause }) =>
    `Power at ${frequencyWords(place.nominal_Hz)} on channel ${place.channel} is limited by ${CAUSES[cause]}.`,
  check: ({ state, items }) => checkWords(state, items),
  contradicted: ({ what, reading }) =>
    `Inconclusive: one reading contradicts the rest: ${witnessWords(reading)}. From the rest: ${what}`,
  claim: ({ text, verdict }) =>
    `Claim of ${text}: ${verdict.reason.charAt(0).toLowerCase()}${verdict.reason.slice(1)}`,
  'claim-unreadable': ({ why }) => `The claim of the run cannot be read: ${why}.`,
  'nothing-found': ({ measured }) =>
    measured === 0
      ? 'Nothing was measured.'
      : `No result was reached; ${measured} ${measured === 1 ? 'point was' : 'points were'} measured.`,
  basis: ({ channel, gain_dB, power_W, input_V, assumes }) =>
    `Gain of channel ${channel}: ${gain_dB.toFixed(1)} dB, so ${watts(power_W)} needs ${volts(input_V)} rms at its input.${assumes.map((one) => ` ${ASSUMES[one]}.`).join('')}`,
  simulated: () => 'Simulated bench: no real unit was measured.',
  resume: ({ run }) => `To continue this run: ohmest resume ${run}`,
};

const lastWords = (last: LastRead | null): string =>
  last
    ? ` after ${formatDuration(last.at_s)}, last read at ${watts(last.power_W)}, ${frequencyWords(last.nominal_Hz)}`
    : '';

const OUTCOMES: Readonly<Record<Extract<Said, { code: 'ended-early' }>['outcome'], string>> = {
  stopped: 'Stopped before its end',
  tripped: 'Ended by a safety limit',
  fault: 'Ended by a fault of the bench',
  interrupted: 'Interrupted before its end',
  running: 'Still running when this was written',
};

const BECAUSE: Readonly<Record<ExceededBy, string>> = {
  crossover: 'crossover distortion',
  noise: 'noise',
  hump: 'distortion at medium power',
  distortion: 'distortion',
};

const ENDS: {
  readonly [By in Exclude<EndedEarly['by'], 'never-below'>]: (
    end: Extract<EndedEarly, { readonly by: By }>,
  ) => string;
} = {
  unknown: () => 'the search went no further',
  'shut-down': () => 'the unit shut down',
  'step-limit': ({ limit_W }) => `the sequence goes no further than ${watts(limit_W)}`,
  'load-rating': ({ limit_W }) => `ended at the rating of the load (${watts(limit_W)})`,
  'interface-full-scale': () => "ended at full output of the interface; turn the unit's volume up",
  'output-stopped-following': () => 'the output no longer followed the drive',
  'cut-short': () => 'the run ended there',
};

const CAUSES: Readonly<Record<CauseCode, string>> = {
  'supply-sag': 'sag of the supply',
  'rail-clipping': 'clipping at the rails',
  'current-limit': 'a current limit',
  'slew-limit': 'slew rate',
  'output-filter': 'the output filter',
  crossover: 'crossover distortion',
  protection: 'protection',
  heat: 'heat',
  'not-clear': 'a cause that is not clear',
};

const ASSUMES = {
  'nominal-load': 'Nominal load assumed',
  uncalibrated: 'No uncertainty stated: part of the chain is uncalibrated',
} as const;

const alikeWords = (channels: readonly number[]): string =>
  channels.length === 0
    ? ''
    : ` ${channels.length > 1 ? 'Channels' : 'Channel'} ${channels.join(', ')} ${channels.length > 1 ? 'show' : 'shows'} the same, less strongly.`;

function outWords({ channel, nominal_Hz }: ConclusionPlace, against: number, out: OutOfLine): string {
  const at = `at ${frequencyWords(nominal_Hz)}`;
  switch (out.by) {
    case 'power':
      return `channel ${channel} is weaker: ${watts(out.own_W)} at ${thdn(out.limit_percent)} ${at}, where channel ${against} gives ${watts(out.other_W)}`;
    case 'thdn':
      return `channel ${channel} has ${BECAUSE[out.because]}: ${thdn(out.own_percent)} at ${watts(out.power_W)} ${at}, where channel ${against} has ${percent(out.other_percent)}`;
  }
}

/** `99.60 W ± 0.17 W`, with `at least` or `at most` where it is a bound. */
const powerWords = ({ power_W, uncertainty_W, bound }: RatedPower): string =>
  `${BOUNDS[bound]}${formatUncertain(power_W, uncertainty_W, 'W')}`;

const BOUNDS = { found: '', 'at-least': 'at least ', 'at-most': 'at most ' } as const;

const placeWords = ({ nominal_Hz, channel }: RatedPower): string =>
  `${frequencyWords(nominal_Hz)}, channel ${channel}`;

/** A figure that only part of the distortion was seen at must not stand alone. */
const doubtWords = ({ blind, changed }: RatedPower): string =>
  `${blind ? '; harmonics of the treble lie outside the measuring band' : ''}${changed ? '; from readings that did not repeat' : ''}`;

const MOST_REASONS = 3;
const whyWords = (why: readonly string[]): string =>
  why.length <= MOST_REASONS
    ? why.join('; ')
    : `${why.slice(0, MOST_REASONS).join('; ')}; and ${why.length - MOST_REASONS} more`;

const each = ({ driven }: ConclusionSetting): string => (driven.length > 1 ? ' per channel' : '');

/** `8 ohm, both channels driven`. */
function settingWords({ load_ohm, driven, all_driven, mains_V }: ConclusionSetting): string {
  const mains = mains_V === null ? '' : `, ${formatQuantity(mains_V, 'V', { trim: true })} mains`;
  return `${formatQuantity(load_ohm, 'ohm')}, ${drivenWords(driven, all_driven)}${mains}`;
}

function drivenWords(driven: readonly number[], all: boolean): string {
  if (driven.length === 1) return `channel ${driven[0]} driven`;
  if (all) return driven.length === 2 ? 'both channels driven' : `all ${driven.length} channels driven`;
  return `channels ${listed(driven)} driven`;
}

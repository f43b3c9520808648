import { type EndCause, endCauseOf } from '../../record/end-cause.js';
import type { RunRecord } from '../../record/run-record.js';
import { formatQuantity } from '../../units/format.js';
import { listed, spanned } from '../../units/listed.js';
import type { Unit } from '../../units/quantity.js';

/** A value the way the trade writes it, or a dash when there is none. */
export const amount = (value: number | null, unit: Unit): string =>
  value === null ? '–' : formatQuantity(value, unit);

/** `k = 2`, `k = 2.13`, `k = 2 to 2.13`. */
export const factorWords = (factors: readonly number[]): string =>
  `k = ${spanned(factors, (factor) => formatQuantity(factor, '1', { figures: 3, trim: true }))}`;

/** `channel 2`, `channels 1 and 2`, `channels 1 to 7`, `channels 1, 2 and 5`. */
export function channelWords(channels: readonly number[]): string {
  if (channels.length === 1) return `channel ${channels[0]}`;
  return `channels ${numberList(channels)}`;
}

function numberList(numbers: readonly number[]): string {
  const run = numbers.length > 2 && numbers.every((n, i) => i === 0 || n === numbers[i - 1]! + 1);
  if (run) return `${numbers[0]} to ${numbers.at(-1)}`;
  return listed(numbers);
}

/** Which channels carried the signal: `channel 1 driven`, `channels 1 and 2 driven`. */
export const drivenWords = (driven: readonly number[]): string => `${channelWords(driven)} driven`;

/** `1 kHz, 8 ohm, channels 1 and 2 driven`: the setting that a set of figures belongs to. */
export function settingWords(load_ohm: number, driven: readonly number[], frequency_Hz?: number): string {
  const at = frequency_Hz === undefined ? '' : `${formatQuantity(frequency_Hz, 'Hz')}, `;
  return `${at}${formatQuantity(load_ohm, 'ohm')}, ${drivenWords(driven)}`;
}

/** `, 99.6 W requested` where all points of a step request the same power; empty where they do not. */
export function requestedWords({ points }: Pick<RunRecord, 'points'>, step: string): string {
  const asked = new Set(points.filter((point) => point.step === step).map(({ asked_W }) => asked_W));
  const [only] = asked;
  return asked.size === 1 && only != null ? `, ${formatQuantity(only, 'W')} requested` : '';
}

/** `230 V mains`, or that nobody set it. */
export const mainsWords = (mains_V: number | null): string =>
  mains_V === null ? 'mains as it came' : `${formatQuantity(mains_V, 'V', { figures: 3, trim: true })} mains`;

const OUTCOMES: Readonly<Record<RunRecord['outcome'], string>> = {
  completed: 'Completed',
  stopped: 'Stopped before its end',
  tripped: 'Ended by a safety limit',
  fault: 'Ended by a fault of the bench',
  interrupted: 'Interrupted before its end',
  running: 'Still running when this was written',
};

const CAUSES: Readonly<Record<EndCause, string>> = {
  'last-step': 'Completed',
  'not-confirmed': 'Stopped by the operator before its end',
  'needs-person': 'Waits for a person at the bench',
  'wrong-connection': 'Stopped by the wiring check',
  'load-limit': 'Stopped: a load cannot take the next level',
  'not-as-before': 'Stopped: the unit is not as it was before the interruption',
  'sequence-limit': 'Stopped by a limit of the sequence',
  'safety-limit': 'Ended by a safety limit',
  'output-lost': 'Ended by the loss of an output',
  sensor: 'Ended by a sensor',
  'another-load': 'Ended by a load of other ohms',
  'bench-fault': 'Ended by a fault of the bench',
  'program-fault': 'Ended by a fault of the program',
  'asked-to-end': 'Interrupted before its end',
};

/**
 * How a run ended, in words: `Stopped by the wiring check: channel 1 is shorted`. Without events, or by those of a version that
 * kept no cause, nobody is named who may not have done it.
 */
export function outcomeWords({
  outcome,
  reason,
  events = [],
}: Pick<RunRecord, 'outcome' | 'reason'> & Partial<Pick<RunRecord, 'events'>>): string {
  const cause = endCauseOf({ outcome, events });
  const words = cause === null ? OUTCOMES[outcome] : CAUSES[cause];
  return reason === '' || outcome === 'completed' ? words : `${words}: ${reason}`;
}

/** `2031-03-04 10:22:31 UTC` from ISO 8601 text; other text is passed on as it is. */
export const timeWords = (time: string): string =>
  time.replace(/^(\d{4}-\d\d-\d\d)T(\d\d:\d\d:\d\d)(\.\d+)?Z$/, '$1 $2 UTC');

/** Words of our own making as they stand at the beginning of a sentence, a note or a cell. */
export const capital = (text: string): string => text.charAt(0).toUpperCase() + text.slice(1);

/** Titles by place; those that are alike are numbered among themselves: `8 ohm (2 of 3)`. */
export function numbered(titles: readonly string[]): string[] {
  return titles.map((title, i) => {
    const alike = titles.filter((one) => one === title).length;
    const place = titles.slice(0, i + 1).filter((one) => one === title).length;
    return alike === 1 ? title : `${title} (${place} of ${alike})`;
  });
}

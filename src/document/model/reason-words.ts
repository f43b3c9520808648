import type { Finding } from '../../record/finding.js';
import type { Reason, Remark, SearchEnd } from '../../record/reasons.js';
import { formatDuration, formatQuantity } from '../../units/format.js';

type Coded<Union extends { readonly code: string }> = {
  readonly [Code in Union['code']]: (one: Extract<Union, { readonly code: Code }>) => string;
};

type Ended = {
  readonly [By in SearchEnd['by']]: (end: Extract<SearchEnd, { readonly by: By }>) => string;
};

const watts = (power_W: number): string => formatQuantity(power_W, 'W');
const percent = (share: number): string => formatQuantity(share, '%');

const ENDS: Ended = {
  'step-limit': ({ limit_W }) => `the search ended at the step's limit of ${watts(limit_W)}`,
  'load-rating': ({ limit_W }) => `the search ended at the load's rating of ${watts(limit_W)}`,
  'interface-full-scale': () => 'the search ended at full output of the interface',
  'output-stopped-following': () => 'the search ended where the output no longer followed the drive',
  'cut-short': () => 'the run ended before the search',
};

const REASONS: Coded<Reason> = {
  'never-below': ({ best_percent, best_W }) =>
    `THD+N was above the limit at every level (lowest: ${percent(best_percent)} at ${watts(best_W)})`,
  'not-reached': ({ end, reached_W }) =>
    `THD+N stayed within the limit up to ${watts(reached_W)}; ${endWords(end)}`,
  changed: ({ first, again }) =>
    `the same level gave ${watts(first.power_W)} at ${percent(first.thdn_percent)} THD+N first and ${watts(again.power_W)} at ${percent(again.thdn_percent)} when repeated`,
  'other-channel-clipped': () => 'the search ended because another channel was far into clipping',
  'not-read-at-once': () => 'the channels were not all read at once, so there is no sum at one level',
  'too-few-readings': () => 'there are too few readings',
  'no-knee': () => 'THD+N does not turn up at one place',
  'in-words': ({ text }) => text,
};

const REMARKS: Coded<Remark> = {
  'load-seen': ({ low_ohm, high_ohm }) =>
    `load by the current shunt ${formatQuantity(low_ohm, 'ohm')} to ${formatQuantity(high_ohm, 'ohm')}`,
  'load-warm': ({ rise_K }) => `load at the end ${formatQuantity(rise_K, 'K')} above the room, by its model`,
  interrupted: ({ after_s }) =>
    `interrupted after ${formatDuration(after_s)}: dips before that are not known`,
  'broke-off': ({ after_s }) =>
    `samples were lost after ${formatDuration(after_s)}: the tone was silent for a moment there`,
  'in-words': ({ text }) => text,
};

/** What ended a search, as a clause. */
export const endWords = (end: SearchEnd): string => (ENDS[end.by] as (end: SearchEnd) => string)(end);

const NOTES: Coded<Reason | Remark> = { ...REASONS, ...REMARKS };

/** Why a finding has no value or only a bound, or what else belongs to it. */
export const noteWords = (note: Reason | Remark): string =>
  (NOTES[note.code] as (note: Reason | Remark) => string)(note);

/** All that belongs to a finding in words, the reason first; empty when there is nothing to add. */
export const notesOf = ({ value, why, remarks }: Pick<Finding, 'value' | 'why' | 'remarks'>): string[] =>
  [
    // A bound says by itself how far the limit was kept.
    ...(why === null
      ? []
      : [why.code === 'not-reached' && value !== null ? endWords(why.end) : noteWords(why)]),
    ...remarks.map(noteWords),
  ].filter((text) => text !== '');

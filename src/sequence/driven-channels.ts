import { listed } from '../units/listed.js';

/** Which channels carry the signal, as written. */
export type DrivenRule = 'all' | 'two' | 'one' | readonly number[];

const COUNTED = { one: 1, two: 2 } as const;

/** The channels that a rule names on a bench, rising, and those of them that the bench lacks. */
export function drivenChannels(
  rule: DrivenRule,
  present: readonly number[],
): { readonly driven: readonly number[]; readonly missing: readonly number[] } {
  if (rule === 'all') return { driven: present, missing: [] };
  const wanted =
    typeof rule === 'string' ? Array.from({ length: COUNTED[rule] }, (_, i) => present[i] ?? i + 1) : rule;
  const driven = [...wanted].sort((a, b) => a - b);
  return { driven, missing: driven.filter((channel) => !present.includes(channel)) };
}

/** `all`, `two`, or `1+3`, as it stands in the id of a repeated step. */
export function drivenWord(rule: DrivenRule): string {
  return typeof rule === 'string' ? rule : [...rule].sort((a, b) => a - b).join('+');
}

/** `channel 1`, `channels 1 and 2`, `channels 1, 2 and 3`, `channels 1 to 8`. */
export function channelWords(channels: readonly number[]): string {
  const [first, last] = [channels[0], channels.at(-1)!];
  if (channels.length === 1) return `channel ${first}`;
  const run = channels.length > 3 && channels.every((channel, i) => channel === channels[0]! + i);
  if (run) return `channels ${first} to ${last}`;
  return `channels ${listed(channels)}`;
}

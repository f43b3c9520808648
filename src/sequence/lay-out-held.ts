import { z } from 'zod';
import type { CoherentTone } from '../signal/coherent-tone.js';
import { formatDuration, formatQuantity } from '../units/format.js';
import type { LoadedChannel } from './bench-facts.js';
import type { SettledSetting, StepLayout } from './lay-out.js';
import { type SettledLevel, settleLevel } from './lay-out-level.js';
import { singleTone } from './lay-out-tones.js';
import { type Level, levelField, levelInPass, levelWords } from './level.js';
import { longestAt_s } from './load-warmth.js';
import type { EnergisedBase } from './step-base.js';
import { capturePart, fixedPart, GAIN_CAPTURES, NEARER_CAPTURES, PLAYS, safeShareOf } from './step-plan.js';
import { readTimeField, wiredFields } from './written-fields.js';

/** Keep one level for a time and watch it. */
export interface HeldStep extends EnergisedBase {
  readonly tone: CoherentTone;
  readonly level: Level;
  readonly seconds: number;
  /** Every record is read; a point is kept this often, and whenever something gets worse. */
  readonly every_s: number;
}

/** The keys of every step that keeps one level for a time. */
export const heldFields = {
  level: levelField,
  for: readTimeField,
  every: readTimeField.optional(),
  ...wiredFields,
};

const held = z.strictObject(heldFields);
type HeldKeys = z.output<typeof held> & { readonly frequency?: number | undefined };

/** What a kind fills in where nothing is written. */
interface HeldDefaults {
  /** Null: it must be written. */
  readonly frequency_Hz: number | null;
  readonly every_s: number;
}

/** Lays a level out that is to be held for a time; null when anything about it is wrong (and was noted). */
export function layOutHeld(at: StepLayout<HeldKeys>, defaults: HeldDefaults): Omit<HeldStep, 'kind'> | null {
  const { setting, keys, written } = at;
  const nominal_Hz = keys.frequency ?? (written.spoilt.has('frequency') ? null : defaults.frequency_Hz);
  const tone = nominal_Hz === null ? null : singleTone(at, nominal_Hz);
  const settled = settleLevel(at, 'level');
  const seconds = keys.for;
  if (setting && settled && seconds !== undefined) noteTooHot(at, setting, settled, seconds);
  const every_s = keys.every ?? Math.min(defaults.every_s, seconds ?? defaults.every_s);
  if (seconds !== undefined && every_s > seconds)
    at.complain(
      'every',
      `every ${formatDuration(every_s)} is longer than the ${written.kind}`,
      `it lasts ${formatDuration(seconds)}`,
    );
  if (!setting || !tone || !settled || seconds === undefined || at.isFaulty) return null;
  const { level, most_W } = settled;
  return { ...setting.base, most_W, tone, level, seconds, every_s };
}

/** What all kinds that hold a level have in common. */
export const HELD = {
  ...PLAYS,
  parts: ({ tone, seconds }: HeldStep) => [
    capturePart('aim', 'aim', GAIN_CAPTURES + NEARER_CAPTURES, tone),
    fixedPart('stand', seconds),
  ],
  points: ({ seconds, every_s }: HeldStep) => Math.ceil(seconds / every_s),
  words: ({ kind, level, tone, seconds }: HeldStep) =>
    `${kind} ${levelWords(level)} at ${formatQuantity(tone.frequency_Hz, 'Hz')} for ${formatDuration(seconds)}`,
  tones: ({ tone }: HeldStep) => [tone],
  lowest_W: ({ most_W }: HeldStep) => safeShareOf(most_W),
  thresholds: () => [],
  marks: false,
  inPass: <S extends HeldStep>(step: S, suffix: string): S => ({
    ...step,
    level: levelInPass(step.level, suffix),
  }),
  levelStands: true,
  explainsOverBand: false,
} as const;

/** A level above a load's continuous rating may stand only until the load is as warm as at its rating. */
function noteTooHot(at: StepLayout, setting: SettledSetting, settled: SettledLevel, seconds: number): void {
  const longest_s = (channel: LoadedChannel) => longestAt_s(channel.load, settled.powerOf(channel));
  const [weakest] = [...setting.channels].sort((a, b) => longest_s(a) - longest_s(b));
  const most_s = longest_s(weakest!);
  if (seconds <= most_s) return;
  const { load, chain } = weakest!;
  const power = formatQuantity(settled.powerOf(weakest!), 'W');
  const rating = formatQuantity(load.rating_W, 'W');
  at.complain(
    'for',
    `${power} for ${formatDuration(seconds)} is more than the load of channel ${chain.channel} stands, which is rated ${rating} continuous`,
    `at most ${formatDuration(Math.floor(most_s))} at this level, or at most ${rating}`,
  );
}

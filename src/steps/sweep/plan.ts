import { z } from 'zod';
import type { StepLayout } from '../../sequence/lay-out.js';
import { settleLevel } from '../../sequence/lay-out-level.js';
import { tonesOf, tonesWords } from '../../sequence/lay-out-tones.js';
import { type Level, levelField, levelInPass, levelWords } from '../../sequence/level.js';
import type { EnergisedBase } from '../../sequence/step-base.js';
import {
  capturePart,
  GAIN_CAPTURES,
  middleTone,
  NEARER_CAPTURES,
  PLAYS,
  type StepPlan,
  safeShareOf,
} from '../../sequence/step-plan.js';
import { frequenciesField, wiredFields } from '../../sequence/written-fields.js';
import type { CoherentTone } from '../../signal/coherent-tone.js';

/** Hold one power (or voltage) and step the frequency. */
export interface SweepStep extends EnergisedBase {
  readonly kind: 'sweep';
  readonly tones: readonly CoherentTone[];
  readonly level: Level;
  /** `power`: trim the drive at each frequency to keep the level; `drive`: keep the generator level of the first. */
  readonly hold: 'power' | 'drive';
}

const schema = z.strictObject({
  level: levelField,
  frequencies: frequenciesField,
  hold: z.enum(['power', 'drive']).optional(),
  ...wiredFields,
});

type SweepKeys = z.output<typeof schema>;

/** Captures per point of a sweep that trims its level. */
const CAPTURES_PER_TRIMMED_POINT = 1.15;
/** Below this many supplies sag, and the more channels they feed the more: a capture waits for them, and is taken again. */
const BASS_Hz = 100;
const BASS_SHARE = 0.7;

/** How many times longer a frequency takes in the bass, as the shipped twins do. */
const inBass = (captures: number, { nominal_Hz }: CoherentTone, driven: readonly number[]) =>
  nominal_Hz < BASS_Hz ? captures * (1 + BASS_SHARE * Math.log2(driven.length)) : captures;

export const SWEEP: StepPlan<SweepKeys, SweepStep> = {
  ...PLAYS,
  kind: 'sweep',
  schema,
  layOut,
  parts: ({ tones, hold, driven }) => {
    const captures = hold === 'power' ? CAPTURES_PER_TRIMMED_POINT : 1;
    return [
      capturePart('aim', 'aim', GAIN_CAPTURES + NEARER_CAPTURES, middleTone(tones)),
      ...tones.map((tone) =>
        capturePart(String(tone.nominal_Hz), 'tone', inBass(captures, tone, driven), tone),
      ),
    ];
  },
  points: ({ tones }) => tones.length,
  words: ({ tones, level }) => `sweep ${tonesWords(tones)}, at ${levelWords(level)}`,
  resumes: 'here',
  afterBreak: 'nothing',
  rates: 'continuous',
  passes: 'each',
  tones: ({ tones }) => tones,
  lowest_W: ({ most_W }) => safeShareOf(most_W),
  thresholds: () => [],
  marks: false,
  inPass: (step, suffix) => ({ ...step, level: levelInPass(step.level, suffix) }),
  levelStands: false,
  explainsOverBand: false,
};

/** Lays a sweep out for a bench; null when anything about it is wrong (and was noted). */
function layOut(at: StepLayout<SweepKeys>): SweepStep | null {
  const { setting, keys } = at;
  const tones = tonesOf(at);
  const settled = settleLevel(at, 'level');
  if (!setting || !settled || at.isFaulty) return null;
  const { level, most_W } = settled;
  return { kind: 'sweep', ...setting.base, most_W, tones, level, hold: keys.hold ?? 'power' };
}

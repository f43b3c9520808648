import { z } from 'zod';
import { type Layout, settle } from '../../sequence/lay-out.js';
import { settleLevel } from '../../sequence/lay-out-level.js';
import { tonesOf } from '../../sequence/lay-out-tones.js';
import { type Level, levelField, levelInPass, levelWords } from '../../sequence/level.js';
import type { Placed } from '../../sequence/repeat-cells.js';
import type { EnergisedBase } from '../../sequence/step-base.js';
import {
  lookPart,
  middleTone,
  NEARER_LOOKS,
  PROBE_LOOKS,
  type StepPlan,
  safeShareOf,
  sineDuty,
} from '../../sequence/step-plan.js';
import { tonesWords } from '../../sequence/tones-words.js';
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

/** Looks per point of a sweep that trims its level. */
const LOOKS_PER_TRIMMED_POINT = 1.15;
/** Below this many supplies sag, and the more channels they feed the more: a look waits for them, and is taken again. */
const BASS_Hz = 100;
const BASS_SHARE = 0.7;

/** How many times longer a frequency takes in the bass, as the shipped twins do. */
const inBass = (looks: number, { nominal_Hz }: CoherentTone, driven: readonly number[]) =>
  nominal_Hz < BASS_Hz ? looks * (1 + BASS_SHARE * Math.log2(driven.length)) : looks;

export const SWEEP: StepPlan<SweepKeys, SweepStep> = {
  kind: 'sweep',
  schema,
  short: null,
  layOut,
  parts: ({ tones, hold, driven }) => {
    const looks = hold === 'power' ? LOOKS_PER_TRIMMED_POINT : 1;
    return [
      lookPart('aim', 'aim', PROBE_LOOKS + NEARER_LOOKS, middleTone(tones)),
      ...tones.map((tone) => lookPart(String(tone.nominal_Hz), 'tone', inBass(looks, tone, driven), tone)),
    ];
  },
  points: ({ tones }) => tones.length,
  duty: ({ most_W }, load_ohm) => sineDuty(most_W, load_ohm),
  words: ({ tones, level }) => `sweep ${tonesWords(tones)}, at ${levelWords(level)}`,
  question: () => null,
  needs: 'signal',
  resumes: 'here',
  afterBreak: 'nothing',
  rates: 'continuous',
  repeats: true,
  standsAlone: false,
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
function layOut(layout: Layout, written: Placed<SweepKeys>): SweepStep | null {
  const before = layout.faults.length;
  const { keys, spoilt } = written;
  const setting = settle(layout, written);
  const tones = tonesOf(layout, written, setting);
  const settled = settleLevel(layout, written, 'level', setting);
  const faulty = spoilt.size > 0 || layout.faults.length > before;
  if (!setting || !settled || faulty) return null;
  const { channels: _, ...base } = setting;
  const { level, most_W } = settled;
  return { kind: 'sweep', id: written.id, ...base, most_W, tones, level, hold: keys.hold ?? 'power' };
}

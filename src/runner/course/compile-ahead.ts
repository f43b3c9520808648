import { setImmediate as yieldToOthers } from 'node:timers/promises';
import { settlingOf } from '../../measure/settled.js';
import { isEnergised, type Plan, planOf } from '../../sequence/plan.js';
import type { CoherentTone } from '../../signal/coherent-tone.js';
import { samplesOf, steady } from '../../signal/stimulus.js';
import { analyseByPairs } from '../capture/analyse-by-pairs.js';

/** Enough for the compiler to have seen what is worth its while, and for the tables of each length. */
const ROUNDS = 4;

/**
 * Goes once through all that is done with a record, for every length of record that a plan takes: the first
 * time is many times slower than the next, while the program is being compiled and its tables are made, and
 * on a sound bench that could starve the output. To be done before anything plays.
 */
export async function compileAhead(plan: Plan): Promise<void> {
  for (const tone of oneOfEachLength(plan)) {
    const clean = samplesOf(steady(tone), 0, tone.frames).map((sample) => 0.5 * sample);
    // With harmonics and without: they take different ways.
    const record = clean.map((sample) => Math.min(sample, 0.45));
    for (let round = 0; round < ROUNDS; round += 1) {
      settlingOf(record.subarray(0, tone.frames / 2), record.subarray(tone.frames / 2), tone);
      await analyseByPairs([record, clean], tone, null);
      await yieldToOthers();
    }
  }
}

function oneOfEachLength({ steps }: Plan): Iterable<CoherentTone> {
  const tones = steps.filter(isEnergised).flatMap((step) => planOf(step).tones(step));
  return new Map(tones.map((tone) => [tone.frames, tone])).values();
}

import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Twin } from '../../../src/bench/simulated/twin.js';
import { readTwin } from '../../../src/bench/simulated/twin-file.js';
import type { CauseCode, CauseQuestion } from '../../../src/measure/cause/question.js';
import { Dice } from './dice.js';
import { askBand, askHealthy, askHold, askLoad, askLowLevel, askSingle } from './questions.js';
import { railOf } from './rail.js';
import { crossing, filterOf, onMains, output, sagging, slewAt, varied } from './vary.js';

/** One invented unit whose fault is known, and the captures that a runner would take of it. */
export interface Variant {
  readonly name: string;
  /** Empty: nothing is wrong with it. */
  readonly truth: readonly CauseCode[];
  ask(): Promise<CauseQuestion>;
}

interface Recipe {
  readonly truth: readonly CauseCode[];
  readonly file: string;
  make(base: Twin, dice: Dice, seed: number): () => Promise<CauseQuestion>;
}

const TREBLE_HZ = [6300, 8000, 10_000, 12_500, 16_000, 20_000];
const BASS_HZ = [20, 25, 31.5, 40];

export const RECIPES: Readonly<Record<string, Recipe>> = {
  none: {
    truth: [],
    file: 'none',
    make: (base, dice, seed) => {
      const twin = onMains(varied(base, dice), dice);
      return () => askHealthy(twin, dice, seed);
    },
  },
  'rail-clipping': {
    truth: ['rail-clipping'],
    file: 'rails',
    make: (base, dice, seed) => {
      const twin = output(varied(base, dice), {
        onResistance_ohm: dice.between(0.1, 0.8),
      });
      const frequency_Hz = dice.pick([...BASS_HZ, 100, 1000, 4000, ...TREBLE_HZ]);
      return dice.pick([
        () => askLoad(twin, dice, seed),
        () => askSingle(twin, dice, seed),
        () => askBand(twin, frequency_Hz, 8, dice, seed),
      ]);
    },
  },
  'supply-sag': {
    truth: ['supply-sag'],
    file: 'sag',
    make: (base, dice, seed) => {
      const twin = sagging(varied(base, dice), dice);
      const frequency_Hz = dice.pick(BASS_HZ);
      return dice.pick([
        () => askBand(twin, frequency_Hz, dice.pick([4, 8]), dice, seed),
        () => askLoad(twin, dice, seed),
        () => askSingle(twin, dice, seed),
      ]);
    },
  },
  'current-limit': {
    truth: ['current-limit'],
    file: 'current',
    make: (base, dice, seed) => {
      const twin = onMains(varied(base, dice), dice);
      const limit_A = (railOf(twin) / 4) * dice.between(0.42, 0.88);
      return () => askLoad(output(twin, { currentLimit_A: limit_A }), dice, seed);
    },
  },
  'slew-limit': {
    truth: ['slew-limit'],
    file: 'slew',
    make: (base, dice, seed) => {
      const twin = onMains(varied(base, dice), dice);
      const frequency_Hz = dice.pick(TREBLE_HZ);
      const slow = slewAt(twin, frequency_Hz, dice.between(0.3, 0.85));
      return () => askBand(slow, frequency_Hz, dice.pick([4, 8]), dice, seed);
    },
  },
  'output-filter': {
    truth: ['output-filter'],
    file: 'filter',
    make: (base, dice, seed) => {
      const twin = output(onMains(varied(base, dice), dice), { filter: filterOf(dice) });
      return () => askBand(twin, dice.pick([16_000, 20_000]), 4, dice, seed);
    },
  },
  crossover: {
    truth: ['crossover'],
    file: 'crossover',
    make: (base, dice, seed) => {
      const twin = crossing(
        onMains(varied(base, dice), dice),
        dice.between(0.03, 0.4),
        dice.between(0.002, 0.05),
      );
      return () => askLowLevel(twin, dice, seed);
    },
  },
  protection: {
    truth: ['protection'],
    file: 'protection',
    make: (base, dice, seed) => {
      const twin = onMains(varied(base, dice), dice);
      const current_A = (railOf(twin) / 4) * dice.between(0.2, 0.36);
      const protection = { ...twin.protection, current_A, currentTime_s: dice.between(0.1, 0.8) };
      return () => askHold({ ...twin, protection }, 4, 4, dice, seed);
    },
  },
  heat: {
    truth: ['heat'],
    file: 'heat',
    make: (base, dice, seed) => {
      const twin = onMains(varied(base, dice), dice);
      const heat = { ...twin.heat, time_s: dice.between(3, 12), gainDrift_per_K: -dice.between(3e-4, 3e-3) };
      return () => askHold({ ...twin, heat }, 8, 10, dice, seed);
    },
  },
  'supply-sag + slew-limit': {
    truth: ['supply-sag', 'slew-limit'],
    file: 'sag-slew',
    make: (base, dice, seed) => {
      const twin = sagging(varied(base, dice), dice);
      const frequency_Hz = dice.pick([6300, 8000, 10_000]);
      return async () => {
        const { failing } = await askSingle(twin, dice, seed);
        const slew_V_per_s = 2 * Math.PI * frequency_Hz * failing.tops.positive * dice.between(0.98, 1.01);
        return askBand(output(twin, { slew_V_per_s }), frequency_Hz, 8, dice, seed);
      };
    },
  },
  'current-limit + output-filter': {
    truth: ['current-limit', 'output-filter'],
    file: 'current-filter',
    make: (base, dice, seed) => {
      const twin = onMains(varied(base, dice), dice);
      const limited = output(twin, {
        filter: filterOf(dice),
        currentLimit_A: (railOf(twin) / 4) * dice.between(0.42, 0.8),
      });
      return () => askBand(limited, dice.pick([16_000, 20_000]), 4, dice, seed, 8);
    },
  },
  'crossover + supply-sag': {
    truth: ['crossover', 'supply-sag'],
    file: 'crossover-sag',
    make: (base, dice, seed) => {
      const twin = sagging(varied(base, dice), dice);
      const gap_V = railOf(twin) * dice.between(0.015, 0.022);
      return () => askSingle(crossing(twin, gap_V, dice.between(0.002, 0.02)), dice, seed, 2);
    },
  },
};

/**
 * `count` units of a recipe, the same for the same seed.
 *
 * @param careless with captures missing that `causeOf` asks for
 */
export function variantsOf(name: string, count: number, seed: number, careless = false): Variant[] {
  const { truth, file, make } = RECIPES[name]!;
  const base = baseTwin(file);
  const place = Object.keys(RECIPES).indexOf(name);
  return Array.from({ length: count }, (_, i) => {
    const own = seed * 100_003 + place * 1009 + i;
    const dice = new Dice(own, careless);
    const ask = make(base, dice, own);
    return {
      name: `${name} ${i + 1}`,
      truth,
      ask: async () => (careless ? lessOf(await ask(), dice) : ask()),
    };
  });
}

/** A question with one kind of its captures left out. */
function lessOf(question: CauseQuestion, dice: Dice): CauseQuestion {
  const { low, otherLoad, referenceLow, ...bare } = question;
  return dice.pick<CauseQuestion>([
    { ...question },
    { ...bare, ...(otherLoad && { otherLoad }), ...(referenceLow && { referenceLow }) },
    { ...bare, ...(low && { low }) },
    { failing: question.failing },
  ]);
}

function baseTwin(file: string): Twin {
  const path = join(import.meta.dirname, '../../../benches/twins', `cause-${file}.yaml`);
  return readTwin(readFileSync(path, 'utf8'), path);
}

import { describe, expect, it } from 'vitest';
import type { EarlierSessions, Heating } from '../../../src/runner/course/earlier-sessions.js';
import { LoadHeat } from '../../../src/runner/course/load-heat.js';
import { warmAsBefore, warmByOthers } from '../../../src/runner/course/warmth-before.js';
import { makePlan } from '../../../src/sequence/make-plan.js';
import { readSequence } from '../../../src/sequence/sequence-file.js';
import { benchOf, benchText } from '../run.js';

const setup = benchOf(benchText(3));
const plan = makePlan(
  readSequence(
    `name: Warm
load: 8 ohm
steps:
  - hold: {id: stay, frequency: 1 kHz, level: 50 W, for: 2 min}
  - sweep: {id: band, level: 50 W, frequencies: [1 kHz]}
`,
    'test.yaml',
  ),
  setup,
);
const load = setup.channels[0]!.loads[0]!;

function point(step: 'stay' | 'band', at_s: number): Heating {
  const stepKind = step === 'stay' ? 'hold' : 'sweep';
  return {
    point: { step, stepKind, nominal_Hz: 1000, driven: [1, 2], load_ohm: 8, at_s },
    // Channel 2 is driven but not read.
    powers: [{ channel: 1, power_W: 50 }],
  };
}

function warmth(heating: readonly Heating[], at_s: number): LoadHeat {
  const heat = new LoadHeat();
  const earlier: EarlierSessions = {
    before: 'fault: gone',
    at_s,
    points: heating.length,
    from: 0,
    stored: [],
    swept: [],
    settlings: new Map(),
    findings: [],
    known: new Set(),
    heating,
  };
  warmAsBefore(heat, setup, plan, earlier);
  return heat;
}

describe('loads of a run that is taken up', () => {
  it('are as warm as a hold has made them: P (1 - exp(-t/tau)), also where nobody read', () => {
    const heat = warmth(
      Array.from({ length: 11 }, (_, i) => point('stay', 10 * i)),
      100,
    );
    const expected_W = 50 * (1 - Math.exp(-100 / load.thermal_s));
    expect(heat.of(1, load)).toBeCloseTo(expected_W, 9);
    expect(heat.of(2, load)).toBeCloseTo(expected_W, 9);
    expect(heat.of(3, load)).toBe(0);
    // 50 W for 100 s in each of two.
    expect([1, 2, 3].map((channel) => heat.energyOf(channel, load))).toEqual([5000, 5000, 0]);
    expect(heat.energy_J).toBeCloseTo(10_000, 6);
  });

  it('cool after a look for as long as it cannot have sounded', () => {
    const { frames, rate_Hz } = plan.steps.flatMap((step) => ('tone' in step ? [step.tone] : []))[0]!;
    const sounded_s = 1 + (20 * frames) / rate_Hz;
    const heat = warmth([point('band', 0)], 1000);
    const warm_W = 50 * (1 - Math.exp(-sounded_s / load.thermal_s));
    expect(heat.of(1, load)).toBeCloseTo(warm_W * Math.exp(-(1000 - sounded_s) / load.thermal_s), 9);
  });

  it('have taken what all runs put into each of them, of which a resumed one is a part', () => {
    const heat = warmth(
      Array.from({ length: 11 }, (_, i) => point('stay', 10 * i)),
      100,
    );
    const others = [
      { channel: 1, load_ohm: 8, mean_W: 40, energy_J: 7000 },
      { channel: 2, load_ohm: 8, mean_W: 1, energy_J: 3000 },
    ];
    warmByOthers(heat, setup, { before: others, words: [], keep: () => null });
    expect([1, 2].map((channel) => heat.energyOf(channel, load))).toEqual([7000, 5000]);
    expect(heat.of(1, load)).toBe(40);
    expect(heat.energy_J).toBe(12_000);
  });
});

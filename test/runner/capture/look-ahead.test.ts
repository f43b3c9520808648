import { describe, expect, it } from 'vitest';
import { clippingUnit, FakeBench, type Through } from '../fake-bench.js';
import { foundIn } from '../found.js';
import { benchOf, benchText, type Played, play } from '../run.js';

const CLIMB = `
name: One climb
load: 8 ohm
steps:
  - climb: {id: climb, frequency: 1 kHz, from: 100 mW, marks: [0.1 %, 1 %]}
`;
const CEILING = `
name: One ceiling
load: 8 ohm
steps:
  - ceiling: {id: ceiling, frequencies: [1 kHz], from: 100 mW, threshold: 0.1 %}
`;
const SWEEP = `
name: One sweep
load: 8 ohm
steps:
  - sweep: {id: sweep, frequencies: [250 Hz, 500 Hz, 1 kHz, 2 kHz, 4 kHz, 8 kHz], level: 5 W, hold: power}
`;
const RATE = 48_000;
/** A quarter of a second, about what a sound server and its queues make of it. */
const BLOCKS_AHEAD = 12;
const BLOCK_s = 1024 / RATE;
/** The record of a 1 kHz tone, ramp and settling. */
const RECORD_s = 32_768 / RATE + 0.05;

const unit = clippingUnit(0.4, 0.3);

async function playOn(sequence: string, blocksAhead: number, through: Through = unit) {
  const setup = benchOf(benchText(1));
  const bench = new FakeBench(1, through, false, RATE, blocksAhead);
  return { played: await play(sequence, setup, bench), bench };
}

/** Seconds from each point of a step to the next. */
function paces(played: Played, step: string): number[] {
  const at_s = played
    .of('point')
    .flatMap(({ point }) => (point.step === step && point.asked_W ? [point.at_s] : []));
  return at_s.slice(1).map((now, i) => now - at_s[i]!);
}

function powersAt(played: Played) {
  return foundIn(played, 'max-power').map(
    ({ threshold_percent, value }) => [threshold_percent, value!] as const,
  );
}

describe('a search on a bench that is fed long before it captures', () => {
  it.each([
    ['climb', CLIMB],
    ['ceiling', CEILING],
  ])('%s: has each level follow the record before it without a pause', async (step, sequence) => {
    const { played } = await playOn(sequence, BLOCKS_AHEAD);
    expect(played.ending.outcome).toBe('completed');
    const steps = paces(played, step);
    const prompt = steps.filter((seconds) => seconds < RECORD_s + 2 * BLOCK_s);
    expect(steps.length).toBeGreaterThan(4);
    // The first few levels of a ceiling, and one that half a record judges otherwise, may wait.
    expect(prompt.length / steps.length).toBeGreaterThan(0.8);
  });

  it.each([
    ['climb', CLIMB],
    ['ceiling', CEILING],
  ])(
    '%s: finds the same powers as on a bench that captures at once, and plays no louder',
    async (_, sequence) => {
      const [ahead, prompt] = [await playOn(sequence, BLOCKS_AHEAD), await playOn(sequence, 0)];
      const [found, expected] = [powersAt(ahead.played), powersAt(prompt.played)];
      expect(found.length).toBeGreaterThan(0);
      expected.forEach(([threshold, power_W], i) => {
        expect(found[i]![0]).toBe(threshold);
        expect(Math.abs(10 * Math.log10(found[i]![1] / power_W))).toBeLessThan(0.005);
      });
      expect(20 * Math.log10(ahead.bench.loudest / prompt.bench.loudest)).toBeLessThan(0.02);
    },
  );

  it('sweep: has each frequency follow the one before it, through silence, at the power that it holds', async () => {
    // Loses half a decibel towards the treble, so that the drive must be trimmed on the way.
    let last = 0;
    const sloping: Through = (samples) =>
      samples.map((x) => {
        last += 0.9 * (x - last);
        return 0.4 * last;
      });
    const { played } = await playOn(SWEEP, BLOCKS_AHEAD, sloping);
    expect(played.ending.outcome).toBe('completed');
    const powers = played.of('point').flatMap(({ readings }) => readings.map(({ power_W }) => power_W));
    for (const power_W of powers.slice(-6)) expect(Math.abs(10 * Math.log10(power_W / 5))).toBeLessThan(0.02);
    // A pace is one or two records, with two ramps and a settling each; one that half a record judges otherwise may wait.
    const steps = paces(played, 'sweep');
    expect(steps).toHaveLength(5);
    const prompt = steps.filter((seconds) => {
      const looks = Math.round(seconds / (RECORD_s + 0.02));
      return seconds < looks * (RECORD_s + 0.02 + 2 * BLOCK_s);
    });
    expect(prompt.length).toBeGreaterThanOrEqual(4);
  });

  it('waits for whole records of a unit that takes long to settle, and keeps none that was cut short', async () => {
    // Sags by 3 % with a third of a second each time that its level changes.
    let [level, sag] = [0, 0];
    const slow: Through = (samples) => {
      const now = Math.max(...samples.map(Math.abs));
      if (now > 1.05 * level) sag = 0.03;
      level = now;
      return samples.map((x) => {
        sag *= Math.exp(-1 / (0.33 * RATE));
        return Math.max(-0.3, Math.min(0.3, 0.4 * x * (1 + sag)));
      });
    };
    const { played } = await playOn(CLIMB, BLOCKS_AHEAD, slow);
    expect(played.ending.outcome).toBe('completed');
    const flagged = played.of('point').filter(({ readings }) => readings[0]!.flags.includes('not-settled'));
    expect(flagged).toEqual([]);
  });
});

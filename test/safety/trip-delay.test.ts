import { describe, expect, it } from 'vitest';
import type { CommandInterface } from '../../src/bench/bench-setup.js';
import { planTake, stimulusFrames } from '../../src/bench/command/take.js';
import { tripDelay_s, tripDelayWords, tripHeading } from '../../src/safety/armed-trips.js';
import { planOf as answersOf, isEnergised } from '../../src/sequence/plan.js';
import { planOf } from './stand.js';

const SWEEP = planOf('sweep: {level: 1 W, frequencies: [20 Hz, 1 kHz]}');
const program = (block_s: number | null, energises = true) => {
  const device: CommandInterface = { kind: 'command', argv: ['p'], timeout_s: 60, block_s };
  return { interface: device, energises, rate_Hz: 48_000 };
};

describe('how late a trip takes effect', () => {
  it('is the longest take of the plan on a program that takes whole records', () => {
    const delay_s = tripDelay_s(SWEEP, program(null))!;
    const frames = SWEEP.steps.filter(isEnergised).flatMap((step) =>
      answersOf(step)
        .tones(step)
        .map((tone) => tone.frames),
    );
    // What a player of tones asks for: two records, a ramp of 10 ms and 30 ms of rest.
    const horizonFrames = 2 * Math.max(...frames) + 0.04 * 48_000;
    const take = planTake({ horizonFrames, render: () => [] }, 0, 48_000);
    const take_s = stimulusFrames(take) / 48_000;
    expect(delay_s).toBeGreaterThanOrEqual(take_s);
    expect(delay_s).toBeLessThan(take_s + 0.2);
    expect(tripHeading(SWEEP, program(null))).toBe('Ends the run after the take');
    expect(tripDelayWords(SWEEP, program(null))[0]).toContain(`up to ${delay_s} s`);
  });

  it.each([
    ['streams', program(0.02)],
    ['drives nothing', program(null, false)],
  ])('is no matter on a program that %s', (_, bench) => {
    expect(tripDelay_s(SWEEP, bench)).toBeNull();
    expect(tripDelayWords(SWEEP, bench)).toEqual([]);
    expect(tripHeading(SWEEP, bench)).toBe('Ends the run at once');
  });

  it('is no matter of a plan that plays nothing', () => {
    expect(tripDelay_s(planOf('ask: hello'), program(null))).toBeNull();
  });
});

import { describe, expect, it } from 'vitest';
import { makePlan } from '../../src/sequence/make-plan.js';
import { setUpPart } from '../../src/sequence/operator-change.js';
import { planOf } from '../../src/sequence/plan.js';
import { readSequence } from '../../src/sequence/sequence-file.js';
import { riseCaptures } from '../../src/steps/climb/plan-captures.js';
import { benchOf, benchText } from '../runner/run.js';

const laidOut = (steps: string) =>
  makePlan(
    readSequence(`name: Parts\nload: 8 ohm\ndriven: all\nsteps:\n${steps}`, 'test.yaml'),
    benchOf(benchText(2)),
  );

describe('riseCaptures', () => {
  it('counts steps of 3 dB, and of 1.5 dB within 15 dB of the top', () => {
    // From 0.1 W to 100 W are 30 dB: 15 dB in five steps, and 15 dB in ten.
    expect(riseCaptures(0.1, 100, 100)).toBeCloseTo(15, 9);
    expect(riseCaptures(10, 100, 100)).toBeCloseTo(10 / 1.5, 9);
    expect(riseCaptures(0.01, 0.1, 100)).toBeCloseTo(10 / 3, 9);
  });

  it('is nothing where the level is above its end', () => {
    expect(riseCaptures(50, 40, 100)).toBe(0);
  });
});

describe('the parts of a step', () => {
  it('names every frequency of a sweep and a ceiling, with what comes before and after', () => {
    const { steps } = laidOut(
      '  - sweep: {level: 10 W, frequencies: [50 Hz, 1 kHz]}\n  - ceiling: {threshold: 0.1 %, frequencies: [50 Hz, 1 kHz]}\n',
    );
    expect(
      steps.map((step) =>
        planOf(step)
          .parts(step)
          .map(({ name }) => name),
      ),
    ).toEqual([
      ['aim', '50', '1000'],
      ['aim', '50', '1000', 'causes'],
    ]);
  });

  it('takes an hour to be an hour, with the time to find the level before it', () => {
    const { steps } = laidOut('  - hold: {frequency: 1 kHz, level: 10 W, for: 1 h}\n');
    const [aim, stand] = planOf(steps[0]!).parts(steps[0]!);
    expect(stand).toMatchObject({ name: 'stand', kind: 'fixed', seconds: 3600 });
    expect(aim!.seconds).toBeLessThan(5);
  });

  it('counts the operator only where something has to be set up by one', () => {
    const [step, next] = laidOut(
      '  - sweep: {level: 10 W, frequencies: [1 kHz]}\n  - sweep: {level: 5 W, frequencies: [1 kHz]}\n',
    ).steps;
    const [asked, unasked] = [true, false].map((asks) => setUpPart(step!, null, asks)!.seconds);
    expect(asked! - unasked!).toBeCloseTo(20, 9);
    expect(step!.kind === 'sweep' && setUpPart(next!, step, true)).toBeNull();
  });
});

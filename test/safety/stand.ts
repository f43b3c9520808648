import { makePlan } from '../../src/sequence/make-plan.js';
import type { EnergisedStep, Plan } from '../../src/sequence/plan.js';
import { readSequence } from '../../src/sequence/sequence-file.js';
import { bench, chain, load } from '../sequence/bench-fixture.js';

/** An invented bench for trips: two channels, 100 V peak at full scale, loads of 8 and 4 ohm rated 250 W. */
export const stand = {
  ...bench(2, { channels: [1, 2].map((channel) => chain(channel, { loads: [load(8), load(4)] })) }),
  dcLimit_V: 2,
};

export function planOf(...steps: string[]): Plan {
  const text = `name: t\nload: 8 ohm\nsteps:\n${steps.map((step) => `  - ${step}\n`).join('')}`;
  return makePlan(readSequence(text, 's.yaml'), stand);
}

export const stepOf = (step: string) => planOf(step).steps[0] as EnergisedStep;

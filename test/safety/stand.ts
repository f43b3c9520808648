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

/** Loads of 8, 4 and 2 ohm with ratings of their own; nothing is played into the last. */
export const unequal = {
  ...stand,
  channels: [1, 2].map((channel) =>
    chain(channel, {
      loads: [load(8, { rating_W: 100 }), load(4, { rating_W: 250 }), load(2, { rating_W: 50 })],
    }),
  ),
};
export const unequalPlan = () =>
  makePlan(
    readSequence(
      `name: t
steps:
  - sweep: {level: 80 W, load: 8 ohm, frequencies: [1 kHz]}
  - sweep: {level: 200 W, load: 4 ohm, frequencies: [1 kHz]}
`,
      's.yaml',
    ),
    unequal,
  );

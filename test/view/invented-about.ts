import type { RunAbout } from '../../src/view/run-view.js';

/** What is told of an invented run of two steps before its first tone. */
export const ABOUT: RunAbout = {
  run: 7,
  unit: 'invented',
  bench: 'invented bench',
  simulated: true,
  sequence: 'rated-power',
  claim: null,
  claim_W: null,
  started: '2026-01-01T00:00:00.000Z',
  armed: ['More than 1 V of DC at a load.'],
  steps: [
    { id: 'first', words: 'climb', thresholds_percent: [0.1, 1] },
    { id: 'second', words: 'hold', thresholds_percent: [0.1, 1] },
  ],
};

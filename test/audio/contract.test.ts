import { afterAll, beforeAll } from 'vitest';
import { AudioBench } from '../../src/bench/audio/audio-bench.js';
import { benchContract } from '../bench/contract.js';
import { audioSetup } from './bench-on.js';
import { Rig } from './rig.js';

let rig: Rig;
beforeAll(() => {
  rig = new Rig();
});
afterAll(() => rig.stop());

benchContract(
  'the audio bench in one stream',
  async () => ({ bench: new AudioBench(audioSetup({ device: 'loop', bits: 24 })) }),
  // Dither of 24 bits is all that comes on top: 1.5 steps of 2^-23 at most.
  {
    realTime: true,
    gain: 1,
    gainTolerance: 1e-5,
    frequency_ppm: 0.01,
    idleRatio: 1e-6,
    misfitRatio: 1e-5,
    settle_s: 0.05,
  },
);

benchContract(
  'the audio bench in two streams',
  async () => ({
    bench: new AudioBench(audioSetup({ device: 'play-only', captureDevice: 'capture-only', bits: 32 })),
  }),
  {
    realTime: true,
    gain: 1,
    gainTolerance: 1e-5,
    frequency_ppm: 0.01,
    idleRatio: 1e-6,
    misfitRatio: 1e-5,
    settle_s: 0.05,
  },
);

benchContract(
  'the audio bench with current shunts',
  async () => ({
    bench: new AudioBench(audioSetup({ device: 'loop', bits: 24, taps: [2, 1] })),
  }),
  {
    realTime: true,
    gain: 1,
    gainTolerance: 1e-5,
    frequency_ppm: 0.01,
    idleRatio: 1e-6,
    misfitRatio: 1e-5,
    settle_s: 0.05,
    currentTaps: [true, true],
  },
);

import { CLIPPER_DELAY, Clipper } from '../src/bench/simulated/clipper.js';
import { Crossover } from '../src/bench/simulated/crossover.js';
import { WhiteNoise } from '../src/bench/simulated/noise.js';
import { DownSampler, doublings, UpSampler } from '../src/bench/simulated/oversampling.js';
import { Rounding } from '../src/bench/simulated/rounding.js';

const RATE_HZ = 48_000;
/** Frames that a twin works on at once. */
const FRAMES = 128;
const SAMPLES = FRAMES << doublings(RATE_HZ);
const CALLS = 200;
const ROUNDS = 40;
const STRAIGHT = { square: 0, cube: 0 };

/** Nanoseconds of each part of a twin for a frame of one channel at 48 kHz, each alone, the best of many rounds. */
export function twinParts(): { name: string; text: string; value: number }[] {
  return Object.entries(parts()).map(([name, run]) => {
    const value = nanoseconds(run);
    return { name: `part: ${name}`, text: `${value.toFixed(1)} ns a frame`, value };
  });
}

function nanoseconds(run: () => void): number {
  let best = Number.POSITIVE_INFINITY;
  for (let round = 0; round < ROUNDS; round += 1) {
    const began = performance.now();
    for (let call = 0; call < CALLS; call += 1) run();
    best = Math.min(best, ((performance.now() - began) * 1e6) / CALLS / FRAMES);
  }
  return best;
}

function parts(): Record<string, () => void> {
  const up = new UpSampler(RATE_HZ, FRAMES);
  const down = new DownSampler(RATE_HZ, FRAMES);
  const wave = Float64Array.from({ length: FRAMES }, (_, n) => Math.sin(n));
  const raised = new Float64Array(SAMPLES);
  const lowered = new Float64Array(FRAMES);
  up.input.set(wave, up.past);
  up.process(raised, 0, FRAMES);
  const crossover = new Crossover(0.01);
  crossover.soften(0.3);
  const bent = new Float64Array(SAMPLES);
  const noise = new WhiteNoise(1e-6, RATE_HZ, 1);
  const rounding = new Rounding(24, 1);
  const codes = new Float64Array(FRAMES);
  return {
    upsampler: () => {
      up.input.set(wave, up.past);
      up.process(raised, 0, FRAMES);
    },
    'curvature and crossover': () => crossover.bend(raised, 0, bent, 0, SAMPLES, STRAIGHT),
    'clipper, wave clear of its limits': clipping(0.9),
    'clipper, wave at 1 % THD+N': clipping(1.04),
    downsampler: () => {
      down.input.set(raised, down.past);
      down.process(lowered, FRAMES);
    },
    'a noise': () => noise.addTo(lowered, FRAMES),
    'rounding of a converter': () => rounding.process(wave, 1, codes, FRAMES),
  };
}

/** A sine of 1 kHz so many times as high as the limits, in steps of the rails. */
function clipping(peak: number): () => void {
  const perStep = 4 << doublings(RATE_HZ);
  const clipper = new Clipper(0);
  const limits = { high: 1, low: -1, highStep: 0, lowStep: 0, samples: perStep };
  const sine = Float64Array.from(
    { length: CLIPPER_DELAY + SAMPLES },
    (_, i) => peak * Math.sin((2 * Math.PI * i) / 384),
  );
  const wave = new Float64Array(sine.length);
  return () => {
    wave.set(sine);
    for (let from = CLIPPER_DELAY; from < wave.length; from += perStep) {
      clipper.process(wave, from, from + perStep, limits);
    }
  };
}

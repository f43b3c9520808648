import { seededRandom } from '../../src/signal/dither.js';

/** 1 kHz at 48 kHz: 1365 cycles in 65 536 frames share no factor. */
export const ONE_KILOHERTZ = { cycles: 1365, frames: 65_536 } as const;
export const RATE_HZ = 48_000;

export interface Cycles {
  readonly cycles: number;
  readonly frames: number;
}

/** A function of the phase in radians, sampled over whole cycles; the phase is reduced before it is rounded. */
export function periodic(tone: Cycles, wave: (radians: number) => number): Float64Array {
  return Float64Array.from({ length: tone.frames }, (_, n) =>
    wave((2 * Math.PI * ((n * tone.cycles) % tone.frames)) / tone.frames),
  );
}

/** A sine of any frequency; `f` in cycles per sample. */
export function sine(frames: number, f: number, amplitude = 1, phase_rad = 0): Float64Array {
  return Float64Array.from(
    { length: frames },
    (_, n) => amplitude * Math.sin(2 * Math.PI * ((f * n) % 1) + phase_rad),
  );
}

/** Limits to +-`limit`. */
export function clip(x: number, limit = 1): number {
  return Math.max(-limit, Math.min(limit, x));
}

/** Gaussian noise of standard deviation 1, the same for the same seed. */
export function gaussian(frames: number, seed: number): Float64Array {
  const random = seededRandom(seed);
  return Float64Array.from(
    { length: frames },
    () => Math.sqrt(-2 * Math.log(1 - random())) * Math.cos(2 * Math.PI * random()),
  );
}

/** Sum of arrays of the same length. */
export function sum(...parts: readonly Float64Array[]): Float64Array {
  return parts[0]!.map((_, n) => parts.reduce((total, part) => total + part[n]!, 0));
}

export function scaled(samples: Float64Array, factor: number): Float64Array {
  return samples.map((x) => x * factor);
}

/** |found / expected - 1|. */
export function relativeError(found: number, expected: number): number {
  return Math.abs(found / expected - 1);
}

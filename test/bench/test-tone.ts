import type { SignalSource } from '../../src/bench/bench.js';

/** What a test tone is made of. Channels not named in `driven` are zero. */
export interface TestToneShape {
  readonly channels: number;
  readonly driven: readonly number[];
  /** Frames in one cycle: a whole number, so that any whole cycles make an exact lock-in window. */
  readonly period: number;
  /** Digital peak at a frame. */
  readonly level: (frame: number) => number;
  readonly horizonFrames: number;
}

/** A sine whose phase follows from the frame number alone, that remembers what it was asked for. */
export class TestTone implements SignalSource {
  readonly asked: { readonly start: number; readonly frames: number }[] = [];
  readonly horizonFrames: number;
  readonly #shape: TestToneShape;

  constructor(shape: TestToneShape) {
    this.#shape = shape;
    this.horizonFrames = shape.horizonFrames;
  }

  render(start: number, frames: number): Float64Array[] {
    this.asked.push({ start, frames });
    const { channels, driven, period, level } = this.#shape;
    const tone = Float64Array.from(
      { length: frames },
      (_, i) => level(start + i) * Math.sin((2 * Math.PI * ((start + i) % period)) / period),
    );
    return Array.from({ length: channels }, (_, i) =>
      driven.includes(i + 1) ? tone.slice() : new Float64Array(frames),
    );
  }
}

/** A level that moves from `before` to `after` along a raised cosine of `frames` from frame `at` on. */
export function rampAt(at: number, frames: number, before: number, after: number): (frame: number) => number {
  return (frame) => {
    const share = Math.min(Math.max((frame - at) / frames, 0), 1);
    return before + (after - before) * (0.5 - 0.5 * Math.cos(Math.PI * share));
  };
}

/**
 * Amplitude and phase (of a sine at frame 0) by quadrature sums over whole cycles, which is the least
 * squares fit there (IEEE 1057 three-parameter fit with orthogonal columns).
 *
 * @param from first frame of the window
 * @param cycles whole cycles in the window
 */
export function lockIn(samples: Float64Array, from: number, cycles: number, period: number) {
  let inPhase = 0;
  let quadrature = 0;
  const frames = cycles * period;
  for (let n = from; n < from + frames; n += 1) {
    const angle = (2 * Math.PI * (n % period)) / period;
    inPhase += samples[n]! * Math.sin(angle);
    quadrature += samples[n]! * Math.cos(angle);
  }
  return {
    amplitude: (2 * Math.hypot(inPhase, quadrature)) / frames,
    phase_rad: Math.atan2(quadrature, inPhase),
  };
}

/**
 * Largest breach of x[n+1] = 2 cos(w) x[n] - x[n-1], which every pure tone obeys and a slow change of
 * level nearly obeys: a splice, a click or a jump of level of height h shows as about h.
 */
export function worstBreak(samples: Float64Array, from: number, to: number, period: number): number {
  const twice = 2 * Math.cos((2 * Math.PI) / period);
  let worst = 0;
  for (let n = from + 1; n < to - 1; n += 1) {
    worst = Math.max(worst, Math.abs(samples[n + 1]! - twice * samples[n]! + samples[n - 1]!));
  }
  return worst;
}

export function rms(samples: Float64Array, from = 0, to = samples.length): number {
  let sum = 0;
  for (let n = from; n < to; n += 1) sum += samples[n]! ** 2;
  return Math.sqrt(sum / Math.max(to - from, 1));
}

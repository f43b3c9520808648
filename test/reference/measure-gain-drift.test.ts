/*
 * A tone whose gain grows in a straight line by a share d over the record: read as a steady tone, its residue is
 * d / root of 12 of it (rms of a ramp from -d/2 to d/2; closed form). 1 dB per minute over 2.73 s is d = 0.0052: 0.15 %.
 */
import { describe, expect, it } from 'vitest';
import { analyse } from '../../src/measure/analyse.js';
import { gaussian } from '../measure/signals.js';

const RATE_Hz = 48_000;
const FRAMES = 2 ** 17;

interface Signal {
  readonly cycles: number;
  /** Share by which the gain grows over the record. */
  readonly drift: number;
  readonly frames?: number;
  readonly third_percent?: number;
  readonly noise_percent?: number;
  /** Depth of a modulation at 100 Hz. */
  readonly hum_percent?: number;
}

function record({ cycles, drift, frames = FRAMES, ...more }: Signal): Float64Array {
  const { third_percent = 0, noise_percent = 0, hum_percent = 0 } = more;
  const noise = noise_percent > 0 ? gaussian(frames, 7) : new Float64Array(frames);
  return Float64Array.from({ length: frames }, (_, n) => {
    const angle = (2 * Math.PI * cycles * n) / FRAMES;
    const gain = 1 + drift * ((n + 0.5) / frames - 0.5);
    const hum = 1 + (hum_percent / 100) * Math.cos((2 * Math.PI * 273 * n) / FRAMES);
    const tone = Math.cos(angle + 0.3) * gain * hum + (third_percent / 100) * Math.cos(3 * angle);
    return 0.5 * (tone + ((noise_percent / 100) * noise[n]!) / Math.SQRT2);
  });
}

const thdnOf = (signal: Signal, expected = true) =>
  analyse([record(signal)], {
    rate_Hz: RATE_Hz,
    ...(expected ? { tone: { cycles: signal.cycles, frames: FRAMES } } : {}),
  })[0]!;

const perMinute = (dB: number) => 10 ** ((dB * FRAMES) / RATE_Hz / 60 / 20) - 1;

describe('a gain that drifts within a record', () => {
  it('would read 0.15 % for 1 dB per minute', () => {
    expect((100 * perMinute(1)) / Math.sqrt(12)).toBeCloseTo(0.15, 2);
  });

  it.each([
    [2731, 1],
    [2731, -1],
    [2731, 0.05],
    [54, 1],
    [54_613, 1],
  ])('is taken out of %d cycles at %d dB per minute', (cycles, dB) => {
    const { method, thdn_percent } = thdnOf({ cycles, drift: perMinute(dB) });
    expect(method).toBe('coherent');
    expect(thdn_percent).toBeLessThan(1e-6);
  });

  it('leaves noise and harmonics as they are', () => {
    const steady = thdnOf({ cycles: 2731, drift: 0, third_percent: 0.003, noise_percent: 0.004 });
    const drifting = thdnOf({
      cycles: 2731,
      drift: perMinute(1),
      third_percent: 0.003,
      noise_percent: 0.004,
    });
    expect(drifting.thdn_percent / steady.thdn_percent).toBeCloseTo(1, 3);
    expect(drifting.noise_rms / steady.noise_rms).toBeCloseTo(1, 3);
  });

  it('is not mistaken for hum, which is no drift', () => {
    // Depth m: two sidebands of m / 2, together m / root of 2 of the tone.
    const { thdn_percent } = thdnOf({ cycles: 2731, drift: 0, hum_percent: 0.1 });
    expect(thdn_percent).toBeCloseTo(0.1 / Math.SQRT2, 4);
    expect(thdnOf({ cycles: 2731, drift: perMinute(1), hum_percent: 0.1 }).thdn_percent).toBeCloseTo(
      0.1 / Math.SQRT2,
      4,
    );
  });

  it('is taken out of a fit as well', () => {
    const signal = { cycles: 2731, frames: 100_000, third_percent: 0.003 };
    const steady = thdnOf({ ...signal, drift: 0 }, false);
    const drifting = thdnOf({ ...signal, drift: perMinute(1) }, false);
    expect(drifting.method).toBe('fitted');
    // The fit of the third harmonic leans on the drift by d / (2 pi 5462).
    expect(drifting.thdn_percent / steady.thdn_percent).toBeCloseTo(1, 2);
  });
});

import { describe, expect, it } from 'vitest';
import { MarkerSearch, marker, markerFrames, markerPeak } from '../../../src/bench/audio/marker.js';
import { seededRandom } from '../../../src/signal/dither.js';

const dB = (level: number) => 10 ** (level / 20);
const PEAK = dB(-50);

/** What a tap might hold: the marker through a gain and a delay, on top of noise, hum and DC. */
function tap(options: {
  rate_Hz: number;
  at: number;
  gain: number;
  noise?: number;
  hum?: number;
  dc?: number;
  seed?: number;
}): Float64Array {
  const { rate_Hz, at, gain, noise = 0, hum = 0, dc = 0, seed = 1 } = options;
  const random = seededRandom(seed);
  // Box and Muller's way from even to normal deviates.
  const normal = () => Math.sqrt(-2 * Math.log(1 - random())) * Math.cos(2 * Math.PI * random());
  const samples = Float64Array.from(
    { length: Math.round(0.6 * rate_Hz) },
    (_, i) => noise * normal() + hum * Math.sin((2 * Math.PI * 50 * i) / rate_Hz) + dc,
  );
  marker(rate_Hz).forEach((sample, i) => {
    samples[at + i]! += gain * PEAK * sample;
  });
  return samples;
}

function search(samples: Float64Array, rate_Hz: number, piece = 1000) {
  const listener = new MarkerSearch(rate_Hz);
  for (let at = 0; at < samples.length; at += piece) {
    listener.push(samples.subarray(at, at + piece));
    const found = listener.found();
    if (found) return found;
  }
  return null;
}

describe('the start marker', () => {
  it('has a peak of 1 and begins and ends in silence', () => {
    const samples = marker(48_000);
    expect(samples).toHaveLength(4096);
    expect(Math.max(...samples.map(Math.abs))).toBeLessThanOrEqual(1);
    expect(Math.max(...samples.map(Math.abs))).toBeGreaterThan(0.99);
    expect(Math.abs(samples[0]!)).toBe(0);
    expect(Math.abs(samples.at(-1)!)).toBeLessThan(1e-6);
  });

  it('is played at -50 dB of full scale, or at 1 V of load where the unit may have much gain', () => {
    expect(20 * Math.log10(markerPeak(1, 20))).toBeCloseTo(-50, 10);
    // 10 V at full scale through 46 dB make 2000 V: 1 V of it is -66 dB.
    expect(markerPeak(10, 20 * Math.log10(200))).toBeCloseTo(1 / 2000, 12);
  });

  it.each([44_100, 48_000, 88_200, 96_000, 176_400, 192_000])(
    'is found to the sample at %i Hz, wherever it lies',
    (rate_Hz) => {
      for (const at of [0, 1, 1536, 2047, 9999, 20_011]) {
        expect(search(tap({ rate_Hz, at, gain: 1 }), rate_Hz)?.frame).toBe(at);
      }
    },
  );

  it('is found upside down', () => {
    expect(search(tap({ rate_Hz: 48_000, at: 2047, gain: -1 }), 48_000)?.frame).toBe(2047);
  });

  it('is found at +40 dB and, under noise of -105 dB, at -60 dB, within two samples', () => {
    expect(search(tap({ rate_Hz: 48_000, at: 3001, gain: dB(40) }), 48_000)?.frame).toBe(3001);
    for (let seed = 1; seed <= 20; seed += 1) {
      const quiet = tap({ rate_Hz: 48_000, at: 3001, gain: dB(-60), noise: dB(-105), seed });
      expect(Math.abs(search(quiet, 48_000)!.frame - 3001)).toBeLessThanOrEqual(2);
    }
  });

  it('is found beside hum and DC that are far stronger', () => {
    const rough = tap({ rate_Hz: 48_000, at: 5000, gain: dB(-20), hum: dB(-46), dc: 0.1, noise: dB(-90) });
    expect(Math.abs(search(rough, 48_000)!.frame - 5000)).toBeLessThanOrEqual(1);
  });

  it('is not heard in silence, in noise, in a click or in a tone', () => {
    const silent = tap({ rate_Hz: 48_000, at: 0, gain: 0 });
    expect(search(silent, 48_000)).toBeNull();
    const click = silent.slice();
    click[9000] = 0.5;
    expect(search(click, 48_000)).toBeNull();
    expect(
      search(
        silent.map((_, i) => 0.3 * Math.sin(i * 0.13)),
        48_000,
      ),
    ).toBeNull();
    for (let seed = 1; seed <= 40; seed += 1) {
      expect(search(tap({ rate_Hz: 48_000, at: 0, gain: 0, noise: 0.01, seed }), 48_000)).toBeNull();
    }
  });

  it('is not taken for found while only its beginning has come', () => {
    const samples = tap({ rate_Hz: 48_000, at: 5000, gain: 1 });
    const listener = new MarkerSearch(48_000);
    for (let at = 0; at < 5000 + markerFrames(48_000); at += 64) {
      listener.push(samples.subarray(at, at + 64));
      expect(listener.found()).toBeNull();
    }
  });
});

import { describe, expect, it } from 'vitest';
import { analyse } from '../../src/measure/analyse.js';
import { findGaps } from '../../src/measure/gaps.js';
import { seededRandom } from '../../src/signal/dither.js';
import { clip, gaussian, ONE_KILOHERTZ, periodic, RATE_HZ, scaled, sum } from './signals.js';

const { cycles, frames } = ONE_KILOHERTZ;
const F = cycles / frames;
const PERIOD = frames / cycles;
/** 1 kHz at -20 dBFS ... */
const PEAK = 0.1;
/** ... with noise at -80 dBFS, a full-scale sine being 0 dBFS. */
const NOISE_RMS = 1e-4 * Math.SQRT1_2;
const NOISE_BANK = gaussian(2 ** 19, 77);

type Damage = 'dropped' | 'doubled' | 'zeroed';

/** The tone with `length` samples lost, played twice, or overwritten with zeros at frame `at`. */
function damaged(kind: Damage, at: number, length: number, seed: number): Float64Array {
  const tone = (n: number) => PEAK * Math.sin(2 * Math.PI * ((F * n) % 1) + seed);
  const noise = noiseFrom(seed * 7919, frames);
  return noise.map((hiss, n) => {
    if (kind === 'zeroed' && n >= at && n < at + length) return 0;
    if (kind === 'dropped') return NOISE_RMS * hiss + tone(n < at ? n : n + length);
    if (kind === 'doubled') return NOISE_RMS * hiss + tone(n < at + length ? n : n - length);
    return NOISE_RMS * hiss + tone(n);
  });
}

/** A stretch of one bank of Gaussian noise: drawing it anew each time would take longer than the checks. */
function noiseFrom(seed: number, count: number): Float64Array {
  const from = (seed * 48_271) % (NOISE_BANK.length - count);
  return NOISE_BANK.subarray(from, from + count);
}

const LENGTHS = [1, 2, 3, 7, 24, 47, 48, 49, 96, 131, 480, 777, 960, 1000];

describe.each(['dropped', 'doubled', 'zeroed'] as const)('samples %s', (kind) => {
  it.each(LENGTHS)('%d of them are found', (length) => {
    for (let seed = 1; seed <= 8; seed++) {
      // Anywhere but in the first and last 300 frames; not where zeroing would change nothing beyond the noise.
      let at = 300 + ((seed * 8111 + length * 37) % (frames - 2000));
      if (kind === 'zeroed') while (Math.abs(Math.sin(2 * Math.PI * ((F * at) % 1) + seed)) < 0.1) at++;
      const gaps = findGaps(damaged(kind, at, length, seed), F);
      expect(gaps.length, `seed ${seed}`).toBeGreaterThan(0);
      const seen = kind === 'doubled' ? at + length : at;
      // A slip of nearly a whole period joins so smoothly that the noise hides the frame.
      const slip = Math.abs(length - PERIOD * Math.round(length / PERIOD));
      const tolerance = kind === 'zeroed' || slip < 1 ? 50 : 3;
      expect(Math.min(...gaps.map((gap) => Math.abs(gap.frame - seen)))).toBeLessThanOrEqual(tolerance);
    }
  });
});

describe('the slip', () => {
  it.each([
    ['dropped', 5, 5],
    ['doubled', 5, -5],
    ['dropped', 100, 100 - 2 * PERIOD],
    ['doubled', 30, PERIOD - 30],
  ] as const)('of %s stretches of %d frames is told modulo one period', (kind, length, slip) => {
    const [gap, ...others] = findGaps(damaged(kind, 30_000, length, 3), F);
    expect(others).toEqual([]);
    expect(Math.abs(gap!.slip_frames! - slip)).toBeLessThan(0.01);
  });

  it('is unknown where the time line went on', () => {
    const [gap, ...others] = findGaps(damaged('zeroed', 30_000, 3, 1), F);
    expect(others).toEqual([]);
    expect(gap).toEqual({ frame: 30_000, slip_frames: null });
  });
});

describe('several breaks', () => {
  it('are all found, in order', () => {
    // 600 zeros inserted, 4000 frames later a block of 1024 played twice.
    const tone = (n: number) => PEAK * Math.sin(2 * Math.PI * F * n);
    const samples = noiseFrom(5, frames).map((hiss, n) => {
      if (n >= 20_000 && n < 20_600) return 0;
      const late = n < 20_000 ? 0 : n < 24_600 ? 600 : 600 + 1024;
      return tone(n - late) + NOISE_RMS * hiss;
    });
    const found = findGaps(samples, F).map((gap) => gap.frame);
    expect(found).toEqual([...found].sort((a, b) => a - b));
    for (const frame of [20_000, 24_600]) {
      expect(Math.min(...found.map((seen) => Math.abs(seen - frame)))).toBeLessThan(60);
    }
    const [reading] = analyse([samples], { rate_Hz: RATE_HZ, tone: ONE_KILOHERTZ });
    expect(reading!.flags).toEqual(['gap-in-capture']);
  });

  it('are found in a clipped signal too', () => {
    for (const [at, length] of [
      [10_000, 1],
      [33_333, 17],
      [50_001, 256],
    ] as const) {
      const wave = (n: number) => clip(1.3 * Math.sin(2 * Math.PI * ((F * n) % 1)));
      const samples = noiseFrom(at, frames).map((hiss, n) => wave(n < at ? n : n + length) + 1e-4 * hiss);
      const gaps = findGaps(samples, F);
      expect(gaps).toHaveLength(1);
      expect(Math.abs(gaps[0]!.frame - at)).toBeLessThan(25);
    }
  });
});

/** Recharging in a fifth of the ripple's period, discharge in a straight line. */
function ripple(turns: number): number {
  const part = turns % 1;
  return part < 0.2 ? 10 * part - 1 : 1 - 2.5 * (part - 0.2);
}

/** One invented capture with nothing wrong with its time line: what amplifiers do, at random. */
function cleanCapture(seed: number): { samples: Float64Array; f: number } {
  const random = seededRandom(seed);
  const count = 16_384;
  const tone = Math.round(26 * ((0.42 * count) / 26) ** random()) | 1;
  const overdrive = random() < 0.3 ? 1 : 1 + random() * random();
  const lowRail = random() < 0.3 ? Number.POSITIVE_INFINITY : 1;
  const depth = random() < 0.5 ? 0 : 0.03 * random();
  const sag = random() < 0.5 ? 0 : 0.1 * random();
  const hum = random() < 0.3 ? 0.01 * random() : 0;
  const dc = 0.2 * (random() - 0.5);
  const phase = 2 * Math.PI * random();
  const noise_rms = 10 ** (-6 * random());
  const mains = [50, 60, 100, 120][seed % 4]! + random();
  const curvature = random() < 0.3 ? 0.1 * random() : 0;
  const noise = noiseFrom(seed, count);
  const samples = noise.map((hiss, n) => {
    const t = n / RATE_HZ;
    const rail = (1 + depth * ripple(mains * t)) * (1 - sag * (1 - Math.exp(-t / 0.1)));
    const sine = Math.sin((2 * Math.PI * ((n * tone) % count)) / count + phase);
    const bent = overdrive * (sine - curvature * sine ** 3);
    const limited = Math.max(-rail * lowRail, Math.min(rail, bent));
    return limited + dc + hum * Math.sin(2 * Math.PI * mains * t) + noise_rms * hiss;
  });
  return { samples, f: tone / count };
}

describe('clean captures', () => {
  it('clipped, rippled, sagging, humming and noisy give no false alarm in 500', () => {
    const alarms: number[] = [];
    for (let seed = 1; seed <= 500; seed++) {
      const { samples, f } = cleanCapture(seed);
      if (findGaps(samples, f).length > 0) alarms.push(seed);
    }
    expect(alarms).toEqual([]);
  });

  it('with 1 % amplitude modulation or a slow change of level give none', () => {
    for (const wobble of [
      (t: number) => 1 + 0.01 * Math.sin(2 * Math.PI * 100 * t),
      (t: number) => 1 + 0.01 * Math.sin(2 * Math.PI * 3 * t),
      (t: number) => 1 - 0.2 * t,
      (t: number) => 0.9 + 0.1 * Math.exp(-t / 0.05),
    ]) {
      const samples = noiseFrom(1, frames).map(
        (hiss, n) => wobble(n / RATE_HZ) * PEAK * Math.sin(2 * Math.PI * ((F * n) % 1)) + 1e-6 * hiss,
      );
      expect(findGaps(samples, F)).toEqual([]);
    }
  });

  it('with a clock that differs or drifts give none', () => {
    for (const drift of [(n: number) => 20e-6 * n, (n: number) => 1e-3 * (n / frames) ** 2 * PERIOD]) {
      const samples = noiseFrom(2, frames).map(
        (hiss, n) => PEAK * Math.sin(2 * Math.PI * F * (n + drift(n))) + NOISE_RMS * hiss,
      );
      expect(findGaps(samples, F)).toEqual([]);
    }
  });

  it('without any noise give none, however clipped', () => {
    for (const overdrive of [1, 1.001, 1.1, 2, 10]) {
      expect(
        findGaps(
          periodic(ONE_KILOHERTZ, (x) => clip(overdrive * Math.sin(x))),
          F,
        ),
      ).toEqual([]);
    }
  });

  it('with rectifier spikes twice a mains period give none', () => {
    const samples = sum(
      periodic(ONE_KILOHERTZ, (x) => PEAK * Math.sin(x)),
      scaled(noiseFrom(3, frames), 1e-6),
    ).map((x, n) => (n % 480 === 0 ? x + 1e-3 : x));
    expect(findGaps(samples, F)).toEqual([]);
  });
});

describe('records too short to judge', () => {
  it('give no gap', () => {
    expect(findGaps(new Float64Array(0), 0.02)).toEqual([]);
    expect(findGaps(periodic({ cycles: 3, frames: 150 }, Math.sin), 0.02)).toEqual([]);
  });
});

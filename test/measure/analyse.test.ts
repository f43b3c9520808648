import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type AnalysisOptions, analyse } from '../../src/measure/analyse.js';
import type { ChannelAnalysis } from '../../src/measure/analysis.js';
import { ImpossibleRequest } from '../../src/measure/measure-errors.js';
import {
  clip,
  gaussian,
  ONE_KILOHERTZ,
  periodic,
  RATE_HZ,
  relativeError,
  scaled,
  sine,
  sum,
} from './signals.js';

function one(samples: Float64Array, options: Partial<AnalysisOptions> = {}): ChannelAnalysis {
  return analyse([samples], { rate_Hz: RATE_HZ, ...options })[0]!;
}

const clean = periodic(ONE_KILOHERTZ, (x) => 0.5 * Math.cos(x + 0.7));

describe('a clean sine of whole cycles', () => {
  it('reads below 1e-10 % THD+N, told or not told what was played', () => {
    for (const options of [{}, { tone: ONE_KILOHERTZ }, { frequency_Hz: 1000 }]) {
      const found = one(clean, options);
      expect(found.method).toBe('coherent');
      expect(found.thdn_percent).toBeLessThan(1e-10);
      expect(found.thd_percent).toBeLessThan(1e-10);
      expect(relativeError(found.fundamental_rms, 0.5 * Math.SQRT1_2)).toBeLessThan(1e-12);
      expect(found.fundamental_Hz).toBe((1365 * RATE_HZ) / 65_536);
      expect(found.fundamental_phase_rad).toBeCloseTo(0.7, 12);
      expect(found.flags).toEqual([]);
      expect(found.gaps).toEqual([]);
    }
  });

  it('reads so at the ends of the audio band and at every usual rate', () => {
    for (const [rate_Hz, frames] of [
      [44_100, 32_768],
      [48_000, 65_536],
      [96_000, 131_072],
      [192_000, 262_144],
    ] as const) {
      for (const cycles of [27, 27_307].filter((j) => j < 0.45 * frames)) {
        const tone = { cycles, frames };
        const found = analyse([periodic(tone, Math.sin)], { rate_Hz, tone })[0]!;
        expect(found.method).toBe('coherent');
        expect(found.thdn_percent).toBeLessThan(1e-10);
        expect(relativeError(found.fundamental_rms, Math.SQRT1_2)).toBeLessThan(1e-6);
      }
    }
  });

  it('counts a fundamental that lies just below the band', () => {
    const tone = { cycles: 27, frames: 65_536 };
    const found = one(
      periodic(tone, (x) => Math.sin(x) + 0.01 * Math.sin(2 * x)),
      { tone },
    );
    expect(found.fundamental_Hz).toBeLessThan(20);
    expect(found.band_Hz[0]).toBe(20);
    expect(found.thd_percent).toBeCloseTo(1, 10);
    expect(found.rms).toBeCloseTo(Math.sqrt(0.5 * 1.0001), 12);
  });
});

describe('a sine of broken cycles', () => {
  it.each([
    [70_001, 1000],
    [48_000, 997],
    [65_536, 1000],
    [96_000, 19_999.5],
    [150, 1234.567],
    [7300, 20],
    [5000, 31.5],
  ])('of %d frames at %f Hz reads below 1e-8 % THD+N', (frames, frequency_Hz) => {
    const found = one(sine(frames, frequency_Hz / RATE_HZ, 0.3, 0.2));
    expect(found.method).toBe('fitted');
    expect(found.thdn_percent).toBeLessThan(1e-8);
    expect(relativeError(found.fundamental_Hz, frequency_Hz)).toBeLessThan(1e-9);
    expect(relativeError(found.fundamental_rms, 0.3 * Math.SQRT1_2)).toBeLessThan(1e-9);
    expect(found.fundamental_phase_rad).toBeCloseTo(0.2 - Math.PI / 2, 8);
  });

  it('gives the same figures as whole cycles do, with harmonics, noise and dc', () => {
    const frames = 65_536;
    const noise = scaled(gaussian(frames, 5), 1e-4);
    const wave = (f: number) =>
      sum(sine(frames, f), sine(frames, 2 * f, 0.002, 1), sine(frames, 3 * f, 0.005, 2), noise).map(
        (x) => x + 0.1,
      );
    const whole = one(wave(1365 / frames));
    const broken = one(wave(1364.37 / frames));
    expect([whole.method, broken.method]).toEqual(['coherent', 'fitted']);
    expect(relativeError(broken.thd_percent!, whole.thd_percent!)).toBeLessThan(1e-3);
    expect(relativeError(broken.thdn_percent, whole.thdn_percent)).toBeLessThan(1e-3);
    expect(relativeError(broken.noise_rms, whole.noise_rms)).toBeLessThan(1e-3);
    expect(broken.harmonics.map(({ order }) => order)).toEqual(whole.harmonics.map(({ order }) => order));
    expect(Math.abs(broken.dc - whole.dc)).toBeLessThan(1e-7);
  });

  it('is read piece by piece when it is long', () => {
    const frames = 2 ** 20 + 12_345;
    const f = 1000.3 / RATE_HZ;
    const samples = sum(sine(frames, f, 0.5), sine(frames, 2 * f, 0.005));
    const found = one(samples, { gaps: false });
    expect(found.method).toBe('fitted');
    expect(relativeError(found.thd_percent!, 1)).toBeLessThan(1e-7);
    expect(found.noise_rms).toBeLessThan(1e-9);
  });
});

describe('clocks that differ', () => {
  const off = (ppm: number) => {
    const f = (1365 / 65_536) * (1 + ppm * 1e-6);
    return sum(sine(65_536, f, 0.5), sine(65_536, 3 * f, 5e-5), scaled(gaussian(65_536, 9), 1e-6));
  };

  it.each([-300, -20, -1, -0.6, 0.6, 1, 20, 300])(
    'by %f ppm are seen, told, and do not spoil the figures',
    (ppm) => {
      const found = one(off(ppm), { tone: ONE_KILOHERTZ });
      expect(found.method).toBe('fitted');
      expect(found.flags).toEqual(['clock-mismatch']);
      expect(Math.abs(found.clock_ppm! - ppm)).toBeLessThan(1e-4);
      expect(relativeError(found.thd_percent!, 0.01)).toBeLessThan(1e-3);
    },
  );

  it('by next to nothing cost nothing and are not worth a word', () => {
    const found = one(off(0.1), { tone: ONE_KILOHERTZ });
    expect(found.flags).toEqual([]);
    expect(Math.abs(found.clock_ppm! - 0.1)).toBeLessThan(1e-4);
    expect(relativeError(found.thd_percent!, 0.01)).toBeLessThan(1e-3);
  });

  it('are not suspected when they are one', () => {
    for (const noise of [0, 1e-7, 1e-4, 0.03]) {
      for (let seed = 1; seed <= 20; seed++) {
        const found = one(sum(clean, scaled(gaussian(65_536, seed), noise)), {
          tone: ONE_KILOHERTZ,
          gaps: false,
        });
        expect(found.method).toBe('coherent');
        expect(found.flags).toEqual([]);
        expect(Math.abs(found.clock_ppm!)).toBeLessThan(10 * noise + 1e-9);
      }
    }
  });

  it('say nothing of a file whose tone nobody told', () => {
    const found = one(off(20));
    expect(found.flags).toEqual([]);
    expect(found.clock_ppm).toBeNull();
    expect(one(off(20), { frequency_Hz: 1000 }).clock_ppm).toBeCloseTo(-224.2, 0);
  });
});

describe('the tone', () => {
  it('is the strongest when none is expected, and the expected one otherwise', () => {
    const samples = sum(sine(50_000, 0.02), sine(50_000, 0.1, 0.1));
    expect(one(samples).fundamental_Hz).toBeCloseTo(960, 3);
    expect(one(samples, { frequency_Hz: 4700 }).fundamental_Hz).toBeCloseTo(4800, 3);
  });

  it('is found under a strong hum when it is expected', () => {
    const samples = sum(scaled(clean, 0.01), sine(65_536, 50 / RATE_HZ, 0.05));
    const found = one(samples, { tone: ONE_KILOHERTZ });
    expect(relativeError(found.fundamental_rms, 0.005 * Math.SQRT1_2)).toBeLessThan(2e-3);
    expect(found.thdn_percent).toBeGreaterThan(99);
  });

  const nothing: [string, Float64Array][] = [
    ['an empty record', new Float64Array(0)],
    ['one sample', Float64Array.of(0.5)],
    ['silence', new Float64Array(65_536)],
    ['silence of odd length', new Float64Array(1001)],
    ['DC', new Float64Array(65_536).fill(0.3)],
    ['noise', gaussian(65_536, 21)],
    ['noise of odd length', gaussian(50_001, 22)],
    ['a click', new Float64Array(4096).fill(1, 100, 101)],
    ['half a cycle', sine(1000, 1 / 2000)],
  ];
  it.each(nothing)('is not found in %s', (_, samples) => {
    for (const options of [{}, { frequency_Hz: 1000 }, { tone: ONE_KILOHERTZ }]) {
      const found = one(samples, options);
      expect(found.flags).toEqual(['no-tone']);
      expect(found).toMatchObject({
        fundamental_Hz: 0,
        fundamental_rms: 0,
        thd_percent: null,
        thdn_percent: 100,
      });
      expect(found.sinad_dB).toBe(0);
      expectFinite(found);
    }
  });

  it('leaves its power in the band as noise where it is missing', () => {
    const found = one(gaussian(65_536, 23));
    // White noise of variance 1: the band's share of half the rate.
    expect(relativeError(found.noise_rms, Math.sqrt(19_980 / 24_000))).toBeLessThan(0.01);
    expect(found.rms).toBe(found.noise_rms);
  });
});

describe('channels', () => {
  it('are read each on its own, in order, any number of them', () => {
    const channels = [1, 2, 3, 4, 5].map((i) =>
      periodic(ONE_KILOHERTZ, (x) => 0.1 * i * (Math.sin(x) + 0.001 * i * Math.sin(2 * x))),
    );
    const found = analyse(channels, { rate_Hz: RATE_HZ });
    found.forEach(({ fundamental_rms, thd_percent }, i) => {
      expect(relativeError(fundamental_rms, 0.1 * (i + 1) * Math.SQRT1_2)).toBeLessThan(1e-12);
      expect(relativeError(thd_percent!, 0.1 * (i + 1))).toBeLessThan(1e-10);
    });
    expect(analyse([], { rate_Hz: RATE_HZ })).toEqual([]);
  });

  it('do not disturb a neighbour 200 dB down', () => {
    const quiet = periodic(ONE_KILOHERTZ, (x) => 1e-10 * (Math.sin(x) + 1e-4 * Math.sin(3 * x)));
    const loud = periodic(ONE_KILOHERTZ, (x) => clip(1.5 * Math.sin(x)));
    expect(relativeError(analyse([loud, quiet], { rate_Hz: RATE_HZ })[1]!.thd_percent!, 0.01)).toBeLessThan(
      1e-8,
    );
  });

  it('may have lengths of their own', () => {
    const found = analyse([clean, sine(3000, 0.02)], { rate_Hz: RATE_HZ });
    expect(found.map(({ thdn_percent }) => thdn_percent < 1e-8)).toEqual([true, true]);
  });
});

describe('the band', () => {
  it('is stated, counted in harmonics, and flags what it hides', () => {
    const at = (cycles: number) =>
      one(
        periodic({ cycles, frames: 65_536 }, (x) => clip(1.2 * Math.sin(x))),
        { tone: { cycles, frames: 65_536 } },
      );
    expect(at(1365)).toMatchObject({ band_Hz: [20, 20_000], harmonics_in_band: 19, flags: [] });
    expect(at(9011)).toMatchObject({ harmonics_in_band: 2, flags: [] });
    expect(at(13_653)).toMatchObject({ harmonics_in_band: 1, flags: ['harmonics-out-of-band'] });
    expect(at(27_307)).toMatchObject({
      harmonics_in_band: 0,
      thd_percent: null,
      thdr_percent: null,
      flags: ['harmonics-out-of-band', 'no-harmonic-in-band'],
    });
  });

  it('can be asked for', () => {
    const noisy = sum(clean, scaled(gaussian(65_536, 31), 0.01));
    const narrow = one(noisy, { band: [400, 4000] });
    const wide = one(noisy, { band: [0, 100_000] });
    expect(narrow.harmonics.map(({ order }) => order)).toEqual([2, 3, 4]);
    expect(wide.band_Hz).toEqual([0, 24_000]);
    expect(relativeError(narrow.noise_rms / wide.noise_rms, Math.sqrt(3600 / 24_000))).toBeLessThan(0.02);
  });

  it.each([
    [[100, 50] as const],
    [[-1, 50] as const],
    [[24_000, 30_000] as const],
    [[Number.NaN, 100] as const],
  ])('%j is refused', (band) => {
    expect(() => one(clean, { band })).toThrow(ImpossibleRequest);
  });

  it('and the tone must lie below half the rate', () => {
    expect(() => one(clean, { frequency_Hz: 24_000 })).toThrow(
      'Expect a frequency above 0 Hz and below 24000 Hz',
    );
    expect(() => one(clean, { frequency_Hz: -5 })).toThrow(ImpossibleRequest);
    expect(() => one(clean, { rate_Hz: 0 })).toThrow(ImpossibleRequest);
  });
});

describe('any record', () => {
  it('gives finite figures', () => {
    const sample = fc.oneof(
      fc.double({ min: -1, max: 1, noNaN: true }),
      fc.constantFrom(0, 1, -1, 1e-300, 1e99, -1e50),
    );
    const record = fc.oneof(
      fc.array(sample, { maxLength: 300 }),
      fc.array(sample, { minLength: 64, maxLength: 64 }),
      fc.array(sample, { minLength: 256, maxLength: 256 }),
    );
    fc.assert(
      fc.property(record, fc.constantFrom(null, 1000, 23_000), (values, frequency_Hz) => {
        for (const found of analyse([Float64Array.from(values)], { rate_Hz: RATE_HZ, frequency_Hz })) {
          expectFinite(found);
        }
      }),
      { seed: 2024, numRuns: 300 },
    );
  });
});

function expectFinite(found: ChannelAnalysis): void {
  for (const [name, value] of Object.entries(found)) {
    if (typeof value === 'number') expect(value, name).toSatisfy(Number.isFinite);
  }
}

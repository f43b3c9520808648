import { describe, expect, it } from 'vitest';
import { kneeOf } from '../../src/measure/knee.js';
import { trendOf } from '../../src/measure/trend.js';
import { gaussian, relativeError } from './signals.js';

const decibelSteps = (from_dBW: number, to_dBW: number, step_dB: number) =>
  Array.from(
    { length: Math.round((to_dBW - from_dBW) / step_dB) + 1 },
    (_, i) => 10 ** ((from_dBW + i * step_dB) / 10),
  );

/** Noise falling with the voltage up to an onset, then distortion rising with a power of the power. */
const noisy = (onset_W: number, plateau_percent: number, steepness: number) => (power_W: number) => {
  const flat = plateau_percent * (onset_W / power_W) ** 0.5;
  const rise = plateau_percent * (power_W / onset_W) ** steepness;
  return power_W < onset_W
    ? { power_W, thdn_percent: flat, noise_percent: flat }
    : { power_W, thdn_percent: rise, noise_percent: flat };
};

/** Where that stands at twice its trend: rise / flat = (P / onset)^(steepness + 1/2) = 2. */
const kneeOfNoisy = (onset_W: number, steepness: number) => onset_W * 2 ** (1 / (steepness + 0.5));

describe('kneeOf', () => {
  it('finds where THD+N reaches twice the trend of the lower levels', () => {
    const rise = decibelSteps(-10, 22, 1.5).map(noisy(80, 0.004, 20));
    const knee = kneeOf([...rise, ...decibelSteps(19, 19.5, 0.002).map(noisy(80, 0.004, 20))], rise);
    const expected_W = kneeOfNoisy(80, 20);
    expect(relativeError(knee.found!.power_W, expected_W)).toBeLessThan(1e-6);
    expect(relativeError(knee.plateau_percent!, 0.004 * (80 / expected_W) ** 0.5)).toBeLessThan(1e-6);
    expect(knee).toMatchObject({ why: null, governed_by: 'noise' });
  });

  it('tells the 0.1 to 1 % interval', () => {
    const steepness = 20;
    const knee = kneeOf(decibelSteps(0, 22, 0.1).map(noisy(80, 0.004, steepness)));
    expect(knee.clipping_interval_dB).toBeCloseTo(10 / steepness, 9);
    expect(
      kneeOf(decibelSteps(0, 19.5, 0.1).map(noisy(80, 0.004, steepness))).clipping_interval_dB,
    ).toBeNull();
  });

  it('finds the onset of an ideal hard clipper over noise', () => {
    // THD near onset 0.412026 acos(1/k)^2.5 (asymptote of the closed form), P = P0 (1 + ...) ~ k^2 before it.
    const onset_W = 100;
    const reading = (power_W: number) => {
      const k = Math.sqrt(power_W / onset_W);
      const thd = k > 1 ? 41.2026 * Math.acos(1 / k) ** 2.5 : 0;
      const noise_percent = 0.01 / k;
      return { power_W, thdn_percent: Math.hypot(thd, noise_percent), noise_percent };
    };
    const rise = decibelSteps(0, 20.25, 1.35).map(reading);
    const knee = kneeOf([...rise, ...decibelSteps(19.9, 20.1, 0.01).map(reading)], rise);
    // Twice the noise is reached at hypot = 2: acos(1/k) = (root of 3 times 0.01 / 41.2026)^0.4.
    const expected_W = onset_W / Math.cos(((Math.sqrt(3) * 0.01) / 41.2026) ** 0.4) ** 2;
    expect(relativeError(knee.found!.power_W, expected_W)).toBeLessThan(2e-4);
    expect(relativeError(knee.plateau_percent!, 0.01)).toBeLessThan(0.01);
  });

  it('is as well known as the scatter of the readings lets it', () => {
    // Readings that scatter by 1 % of themselves: the found powers spread by what the trend and its slope tell.
    const steepness = 8;
    const [found, told] = [[], []] as [number[], number[]];
    for (let seed = 1; seed <= 400; seed += 1) {
      const noise = gaussian(400, seed);
      const points = decibelSteps(-10, 22, 0.5)
        .map(noisy(80, 0.004, steepness))
        .map((point, i) => ({ ...point, thdn_percent: point.thdn_percent * Math.exp(0.01 * noise[i]!) }));
      const knee = kneeOf(points, points).found!;
      found.push(Math.log(knee.power_W));
      told.push(knee.trend.spreadAt(knee.power_W) * knee.slope);
    }
    const mean = found.reduce((sum, one) => sum + one, 0) / found.length;
    const rms = (values: number[]) => Math.hypot(...values) / Math.sqrt(values.length);
    // The readings beside the knee are two, each with its own scatter, and the slope stands between them.
    expect(rms(found.map((one) => one - mean)) / rms(told)).toBeGreaterThan(0.5);
    expect(rms(found.map((one) => one - mean)) / rms(told)).toBeLessThan(1.1);
  });

  it('says when harmonics govern the plateau', () => {
    const unit = (power_W: number) => ({
      power_W,
      thdn_percent: power_W < 80 ? 0.05 : 0.05 * (power_W / 80) ** 15,
      noise_percent: 0.001,
    });
    const rise = decibelSteps(-10, 22, 1.5).map(unit);
    const knee = kneeOf([...rise, ...decibelSteps(19, 20, 0.01).map(unit)], rise);
    expect(knee.governed_by).toBe('harmonics');
    expect(relativeError(knee.plateau_percent!, 0.05)).toBeLessThan(1e-9);
    expect(relativeError(knee.found!.power_W, 80 * 2 ** (1 / 15))).toBeLessThan(1e-3);
  });

  it('finds none where the trend explains all readings, or is left gradually', () => {
    const flat = kneeOf(decibelSteps(-10, 22, 1).map(noisy(1000, 0.004, 20)));
    expect(flat).toMatchObject({ found: null, why: 'no-knee', governed_by: 'noise' });
    // Third harmonic all the way: part of the trend.
    expect(kneeOf(decibelSteps(-10, 22, 1).map(noisy(0.5, 0.04, 1)))).toMatchObject({ why: 'no-knee' });
    // Seventh: over twice the trend in the end, but gradually.
    expect(kneeOf(decibelSteps(-10, 22, 1).map(noisy(5, 0.04, 3)))).toMatchObject({ why: 'no-knee' });
  });

  it('takes an excursion that comes back for no knee', () => {
    // A rail switch at 25 W raises 0.0004 % to 0.16 % within 1.5 dB; clipping begins at 100 W.
    const unit = (power_W: number) => {
      const hump = 0.16 * Math.exp(-((Math.log(power_W / 26) / 0.1) ** 2));
      const { thdn_percent, noise_percent } = noisy(100, 0.0004, 40)(power_W);
      return { power_W, thdn_percent: Math.hypot(thdn_percent, hump), noise_percent };
    };
    const rise = decibelSteps(-13, 21, 1.5).map(unit);
    const knee = kneeOf([...rise, ...decibelSteps(19.9, 20.4, 0.01).map(unit)], rise);
    expect(relativeError(knee.found!.power_W, kneeOfNoisy(100, 40))).toBeLessThan(1e-3);
  });

  it('finds the knee of a unit whose crossover distortion falls faster than noise', () => {
    const unit = (power_W: number) => {
      const { thdn_percent, noise_percent } = noisy(40, 0.002, 40)(power_W);
      return {
        power_W,
        thdn_percent: thdn_percent + (0.5 / Math.sqrt(power_W)) * (1 + 1 / power_W),
        noise_percent,
      };
    };
    const rise = decibelSteps(-13, 18, 1.5).map(unit);
    const knee = kneeOf([...rise, ...decibelSteps(16, 17, 0.01).map(unit)], rise);
    expect(knee.found!.power_W).toBeGreaterThan(39);
    expect(knee.found!.power_W).toBeLessThan(50);
  });

  it('has nothing to say without readings', () => {
    expect(kneeOf([])).toEqual({
      found: null,
      why: 'too-few-readings',
      plateau_percent: null,
      governed_by: null,
      clipping_interval_dB: null,
    });
  });
});

describe('trendOf', () => {
  it('finds the four terms of a curve that is made of them', () => {
    // D^2 = a / P + b + c P + e P^2, as noise, bench, second and third harmonic make it.
    const [a, b, c, e] = [4e-4, 1e-6, 2e-7, 3e-9];
    const at = (power_W: number) => Math.sqrt(a / power_W + b + c * power_W + e * power_W ** 2);
    const trend = trendOf(
      decibelSteps(-13, 20, 1.5).map((power_W) => ({ power_W, thdn_percent: at(power_W) })),
    )!;
    for (const power_W of [0.1, 3, 150])
      expect(relativeError(trend.at(power_W), at(power_W))).toBeLessThan(1e-6);
    expect(trend.degrees_of_freedom).toBe(23 - 4);
    expect(trend.spreadAt(100)).toBeLessThan(1e-6);
  });

  it('needs five readings in a row', () => {
    expect(trendOf(decibelSteps(0, 9, 3).map(noisy(80, 0.004, 20)))).toBeNull();
    expect(trendOf(decibelSteps(0, 12, 3).map(noisy(80, 0.004, 20)))).not.toBeNull();
  });
});

import { describe, expect, it } from 'vitest';
import { kneeOf } from '../../src/measure/knee.js';
import { gaussian, relativeError } from './signals.js';

const decibelSteps = (from_dBW: number, to_dBW: number, step_dB: number) =>
  Array.from(
    { length: Math.round((to_dBW - from_dBW) / step_dB) + 1 },
    (_, i) => 10 ** ((from_dBW + i * step_dB) / 10),
  );

/** Noise falling with the voltage up to the knee, then distortion rising with a power of the power. */
const noisy = (knee_W: number, plateau_percent: number, steepness: number) => (power_W: number) => {
  const flat = plateau_percent * (knee_W / power_W) ** 0.5;
  const rise = plateau_percent * (power_W / knee_W) ** steepness;
  return power_W < knee_W
    ? { power_W, thdn_percent: flat, noise_percent: flat }
    : { power_W, thdn_percent: rise, noise_percent: flat };
};

describe('kneeOf', () => {
  it('finds where two straight lines meet', () => {
    const knee = kneeOf(decibelSteps(-10, 22, 0.25).map(noisy(80, 0.004, 20)));
    expect(relativeError(knee.power_W!, 80)).toBeLessThan(1e-9);
    expect(relativeError(knee.plateau_percent!, 0.004)).toBeLessThan(1e-9);
    expect(knee.governed_by).toBe('noise');
    expect(knee.note).toBe('');
  });

  it('tells the hardness, the decibels from 0.1 % to 1 %', () => {
    const steepness = 20;
    const knee = kneeOf(decibelSteps(0, 22, 0.1).map(noisy(80, 0.004, steepness)));
    expect(knee.hardness_dB).toBeCloseTo(10 / steepness, 9);
    expect(kneeOf(decibelSteps(0, 19.5, 0.1).map(noisy(80, 0.004, steepness))).hardness_dB).toBeNull();
  });

  it('takes points in any order', () => {
    const points = decibelSteps(-10, 22, 0.5).map(noisy(80, 0.004, 20));
    expect(kneeOf([...points].reverse())).toEqual(kneeOf(points));
  });

  it('finds the onset of an ideal hard clipper over noise', () => {
    // THD near onset 0.412026 acos(1/k)^2.5 (asymptote of the closed form), P = P0 (1 + ...) ~ k^2 before it.
    const onset_W = 100;
    const points = decibelSteps(0, 20.25, 0.02).map((power_W) => {
      const k = Math.sqrt(power_W / onset_W);
      const thd = k > 1 ? 41.2026 * Math.acos(1 / k) ** 2.5 : 0;
      const noise_percent = 0.01 / k;
      return { power_W, thdn_percent: Math.hypot(thd, noise_percent), noise_percent };
    });
    const knee = kneeOf(points);
    // Its curve is steepest at the onset, so that a straight line meets the plateau a trifle below it.
    expect(Math.abs(10 * Math.log10(knee.power_W! / onset_W))).toBeLessThan(0.05);
    expect(relativeError(knee.plateau_percent!, 0.01)).toBeLessThan(0.01);
  });

  it('knows the knee exactly where both parts are exactly straight', () => {
    const { fit } = kneeOf(decibelSteps(-10, 22, 0.1).map(noisy(80, 0.004, 8)));
    expect(fit!.steepness).toBeCloseTo(8.5, 6);
    expect(fit!.flat!.standard).toBeLessThan(1e-9);
    expect(fit!.steep!.standard).toBeLessThan(1e-9);
  });

  it('knows the knee as well as the scatter of its readings lets it', () => {
    // Readings that scatter by 1 % of themselves: over many draws the spread of the found knee is what is told of it.
    const [found, told] = [[], []] as [number[], number[]];
    for (let seed = 1; seed <= 400; seed += 1) {
      const noise = gaussian(400, seed);
      const points = decibelSteps(-10, 22, 0.1)
        .map(noisy(80, 0.004, 8))
        .map((point, i) => ({ ...point, thdn_percent: point.thdn_percent * Math.exp(0.01 * noise[i]!) }));
      const { power_W, fit } = kneeOf(points);
      found.push(Math.log(power_W! / 80));
      told.push(Math.hypot(fit!.flat!.standard, fit!.steep!.standard) / fit!.steepness);
    }
    const rms = (values: number[]) => Math.hypot(...values) / Math.sqrt(values.length);
    // The division into parts moves with the noise too, which no regression knows of.
    expect(relativeError(rms(found), rms(told))).toBeLessThan(0.2);
  });

  it('has no scatter to tell from two steep readings, but how far they are', () => {
    const knee = kneeOf([...decibelSteps(0, 19, 1), 110, 115].map(noisy(80, 0.001, 20)));
    expect(knee.fit!.steep).toBeNull();
    expect(knee.fit!.gap).toBeCloseTo(110 / 80 - 1, 9);
  });

  it('makes do with two steep readings', () => {
    const steep = noisy(80, 0.001, 20);
    const knee = kneeOf([...decibelSteps(0, 19, 1), 110, 115].map(steep));
    expect(relativeError(knee.power_W!, 80)).toBeLessThan(1e-9);
  });

  it('says when harmonics govern the plateau', () => {
    const points = decibelSteps(-10, 22, 0.5).map((power_W) => ({
      ...noisy(80, 0.004, 20)(power_W),
      thdn_percent: power_W < 80 ? 0.05 : 0.05 * (power_W / 80) ** 15,
      noise_percent: 0.001,
    }));
    const knee = kneeOf(points);
    expect(knee.governed_by).toBe('harmonics');
    expect(relativeError(knee.power_W!, 80)).toBeLessThan(1e-9);
    expect(relativeError(knee.plateau_percent!, 0.05)).toBeLessThan(1e-9);
  });

  it('finds none where the curve only falls, hardly rises, or rises too slowly', () => {
    const flat = decibelSteps(-10, 22, 1).map(noisy(1000, 0.004, 20));
    expect(kneeOf(flat)).toMatchObject({ power_W: null, governed_by: 'noise' });
    expect(kneeOf(flat).note).toBe('THD+N does not rise far enough above its lowest value');
    const slow = kneeOf(decibelSteps(-10, 22, 1).map(noisy(0.5, 0.04, 0.7)));
    expect(slow.power_W).toBeNull();
    expect(slow.note).toBe('THD+N rises too slowly for a knee');
  });

  it('has nothing to say without readings', () => {
    expect(kneeOf([])).toEqual({
      fit: null,
      power_W: null,
      plateau_percent: null,
      governed_by: null,
      hardness_dB: null,
      note: 'there are no readings',
    });
  });
});

import { describe, expect, it } from 'vitest';
import { foldCycle, PHASES } from '../../../src/measure/cause/fold.js';
import { gaussian, ONE_KILOHERTZ, periodic, RATE_HZ, scaled, sine, sum } from '../signals.js';

const TONE = { ...ONE_KILOHERTZ, rate_Hz: RATE_HZ };
const middle = (i: number) => (2 * Math.PI * (i + 0.5)) / PHASES;

describe('a folded record', () => {
  it('is the wave over one cycle, whatever phase the record begins at', () => {
    const wave = (x: number) => 0.5 + 3 * Math.sin(x + 1.1) + 0.2 * Math.sin(3 * (x + 1.1));
    const { cycle, amplitude, dc } = foldCycle(periodic(TONE, wave), TONE);
    expect(amplitude).toBeCloseTo(3, 9);
    expect(dc).toBeCloseTo(0.5, 9);
    cycle.forEach((v, i) => {
      expect(Math.abs(v - wave(middle(i) - 1.1))).toBeLessThan(2e-3);
    });
  });

  it('leaves as residue only what does not repeat with the tone', () => {
    const noise = scaled(gaussian(TONE.frames, 3), 0.01);
    const { residue } = foldCycle(sum(periodic(TONE, Math.sin), noise), TONE);
    const rms = Math.sqrt(residue.reduce((total, x) => total + x * x, 0) / residue.length);
    // One degree of freedom in 128 is spent on each part of the cycle.
    expect(rms / 0.01).toBeGreaterThan(0.985);
    expect(rms / 0.01).toBeLessThan(1.005);
  });

  it('follows a capture clock that runs 60 ppm fast', () => {
    const stated = TONE.cycles / TONE.frames;
    const folded = foldCycle(sine(TONE.frames, stated * (1 - 60e-6), 2), TONE);
    expect(Math.abs(folded.cyclesPerSample / (stated * (1 - 60e-6)) - 1)).toBeLessThan(1e-8);
    const most = Math.max(...folded.residue.map(Math.abs));
    expect(most).toBeLessThan(2 * 1e-3);
  });
});

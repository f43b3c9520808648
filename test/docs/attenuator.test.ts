import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { PROJECT } from './command-blocks.js';

/** Boltzmann's constant in J/K (SI, exact since 2019). */
const BOLTZMANN = 1.380649e-23;
const [LOAD_ohm, R2_ohm, INPUT_V, BAND_Hz, WARM_K] = [8, 1000, 2, 20_000, 300];
/** The highest voltage stays below the full scale of the input with a fifth to spare: 1/1.2. */
const SPARE = 1.2;

/** The rows of the worked table in the guide, by the heads of its columns. */
const rows = readFileSync(`${PROJECT}docs/guide/attenuator.md`, 'utf8')
  .split('\n')
  .filter((line) => /^\| \d+ W \|/.test(line))
  .map((line) => {
    const [power, peak, rail, r1, ratio, input, sine, dc, noise, below] = line
      .split('|')
      .slice(1)
      .map((cell) => cell.trim());
    const [, each] = /^2 x ([\d.]+) kilohm$/.exec(r1!)!;
    return {
      power_W: Number.parseFloat(power!),
      peak_V: Number.parseFloat(peak!),
      rail_V: Number.parseFloat(rail!),
      r1_ohm: 2000 * Number(each),
      ratio: Number(ratio),
      input_V: Number.parseFloat(input!),
      sine_mW: Number.parseFloat(sine!),
      dc_mW: Number.parseFloat(dc!),
      noise_uV: Number.parseFloat(noise!),
      below_dB: Number.parseFloat(below!),
    };
  });

describe('the worked table of the attenuator', () => {
  it('is worked for 50, 100, 200 and 500 W', () =>
    expect(rows.map(({ power_W }) => power_W)).toEqual([50, 100, 200, 500]));

  // Closed form, from Ohm's law and Johnson noise 4kTR. Half of the last printed digit is the tolerance.
  it.each(rows)('holds at $power_W W', (row) => {
    const rms_V = Math.sqrt(row.power_W * LOAD_ohm);
    const ratio = (row.r1_ohm + R2_ohm) / R2_ohm;
    const heat_mW = (volts: number) => (1000 * (volts * (1 - 1 / ratio)) ** 2) / row.r1_ohm;
    const source_ohm = (row.r1_ohm * R2_ohm) / (row.r1_ohm + R2_ohm);
    const noise_V = Math.sqrt(4 * BOLTZMANN * WARM_K * source_ohm * BAND_Hz);
    expect(row.peak_V).toBeCloseTo(Math.SQRT2 * rms_V, 1);
    expect(row.ratio).toBe(ratio);
    expect(row.input_V).toBeCloseTo(rms_V / ratio, 2);
    expect(Math.abs(row.sine_mW - heat_mW(rms_V))).toBeLessThanOrEqual(0.5);
    expect(Math.abs(row.dc_mW - heat_mW(row.rail_V))).toBeLessThanOrEqual(0.5);
    expect(row.noise_uV).toBeCloseTo(1e6 * noise_V, 2);
    expect(Math.abs(row.below_dB - 20 * Math.log10(rms_V / ratio / noise_V))).toBeLessThanOrEqual(0.5);
    expect(rms_V / ratio).toBeLessThanOrEqual(INPUT_V / SPARE);
  });

  it.each(rows)(
    'lets 0.6 W resistors stand a rail at $power_W W while the other half of R1 is shorted',
    (row) => {
      const left_ohm = row.r1_ohm / 2;
      const heat_mW = (1000 * ((row.rail_V * left_ohm) / (left_ohm + R2_ohm)) ** 2) / left_ohm;
      expect(heat_mW).toBeLessThanOrEqual(4 * (row.dc_mW / 2));
      expect(4 * (row.dc_mW / 2)).toBeLessThanOrEqual(600);
    },
  );

  it('has the loss of its capacitor right: 1 nF across R2, in dB at 20 kHz and 384 kHz', () => {
    const loss_dB = (at_Hz: number, source_ohm: number) =>
      10 * Math.log10(1 + (2 * Math.PI * at_Hz * source_ohm * 1e-9) ** 2);
    for (const { r1_ohm } of rows) {
      const source_ohm = (r1_ohm * R2_ohm) / (r1_ohm + R2_ohm);
      expect(loss_dB(20_000, source_ohm)).toBeLessThan(0.07);
      expect(loss_dB(384_000, source_ohm)).toBeCloseTo(8, 0);
    }
  });
});

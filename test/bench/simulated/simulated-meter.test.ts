import { describe, expect, it } from 'vitest';
import { type MeterSpec, SimulatedMeter } from '../../../src/bench/simulated/simulated-meter.js';
import { TruthStand, twinOf } from './truth-stand.js';

const LOAD = { inductance_H: 10e-6, tempco_per_K: 1e-3, heating_K_per_W: 0.4, thermal_s: 100, rating_W: 200 };
const CHAIN = { outputFullScale_Vpk: 4, inputFullScale_Vpk: 400 };
const open = (more = 'truth: { load: 2 %, output_level: -3 % }') =>
  new TruthStand(twinOf(more), { load: LOAD, chain: CHAIN }).open();
/** A meter that reads the truth to the last digit. */
const EXACT: MeterSpec = { percent: 0, counts: 0, resolution: 0 };
const SPEC: MeterSpec = { percent: 0.5, counts: 3, resolution: 0.01 };

describe('an exact meter on the simulated bench', () => {
  it.each([20, 50, 1000, 19_999])(
    'reads the rms of a steady tone of %d Hz to eight digits',
    async (nominal_Hz) => {
      const player = await open();
      const meter = new SimulatedMeter(player.bench, EXACT, 1);
      let [output, load] = [0, 0];
      await player.hear(nominal_Hz, [0.5], () => {
        output = meter.volts(1);
        load = player.bench.loadVolts(1);
      });
      const exact = (0.5 * 4 * 0.97) / Math.SQRT2;
      expect(output / exact).toBeCloseTo(1, 8);
      expect(load / (10 * exact)).toBeCloseTo(1, 6);
    },
  );

  it('reads AC only, and nothing once all is silent', async () => {
    const player = await open('output: { offset: 3 V }');
    const meter = new SimulatedMeter(player.bench, EXACT, 1);
    let load = 0;
    await player.hear(1000, [0.1], () => {
      load = player.bench.loadVolts(1);
    });
    expect(load / ((0.1 * 40) / Math.SQRT2)).toBeCloseTo(1, 6);
    expect(meter.volts(1)).toBe(0);
    expect(player.bench.loadVolts(1)).toBe(0);
  });

  it('reads what is distorted or noisy as true rms', async () => {
    const player = await open('interface: { output_noise: 0.5 V }');
    const meter = new SimulatedMeter(player.bench, EXACT, 1);
    let volts = 0;
    await player.hear(1000, [0.25], () => {
      volts = meter.volts(1);
    });
    // 0.707 V of tone and 0.548 V of noise; 19 200 windowed samples tell it within 1 % (2 sigma).
    expect(volts / Math.hypot(0.5 * Math.SQRT2, 0.5 * Math.sqrt(1.2))).toBeCloseTo(1, 1.7);
  });

  it('reads loads cold and warm, their impedance, and temperatures', async () => {
    const { bench } = await open();
    const meter = new SimulatedMeter(bench, EXACT, 1);
    expect(meter.ohms(1, 8)).toBeCloseTo(8.16, 12);
    expect(meter.impedance(1, 8, 10_000)).toBeCloseTo(Math.hypot(8.16, 0.2 * Math.PI), 12);
    expect([meter.temperature(1, 8), bench.warmestLoad_C(1)]).toEqual([25, 25]);
    meter.warm(1, 8);
    // A quarter of 200 W in 0.4 K/W.
    expect(meter.temperature(1, 8)).toBeCloseTo(45, 6);
    expect(bench.warmestLoad_C(1)).toBeCloseTo(45, 6);
    expect(bench.room_C).toBe(25);
    expect(meter.ohms(1, 8)).toBeCloseTo(8.16 * 1.02, 6);
    expect(meter.ohms(1, 4)).toBeCloseTo(4.08, 12);
    expect(() => meter.ohms(1, 5)).toThrow(/no load of 5 ohm/);
  });
});

describe('a meter with limits', () => {
  it('is wrong in one way, the same at every reading, per function and instrument', async () => {
    const { bench } = await open();
    const [meter, same, other] = [7, 7, 8].map((seed) => new SimulatedMeter(bench, SPEC, seed));
    const first = meter!.ohms(1, 100);
    expect([meter!.ohms(1, 100), same!.ohms(1, 100)]).toEqual([first, first]);
    expect(other!.ohms(1, 100)).not.toBe(first);
    // The percents weigh in proportion: 100 ohm and 8 ohm are off by the same share but for counts.
    const share = (first - 102) / 102;
    expect(Math.abs(meter!.ohms(1, 8) - 8.16 - 8.16 * share)).toBeLessThan(0.03 * 1.1);
  });

  it('keeps its limits and fills them evenly: mean 0, standard deviation limit over root three', async () => {
    const { bench } = await open();
    const errors = Array.from(
      { length: 1000 },
      (_, seed) => new SimulatedMeter(bench, SPEC, seed).ohms(1, 100) - 102,
    );
    const limit = 0.005 * 102 + 3 * 0.01;
    expect(Math.max(...errors.map(Math.abs))).toBeLessThanOrEqual(limit + 1e-9);
    const mean = errors.reduce((sum, x) => sum + x, 0) / errors.length;
    const deviation = Math.sqrt(errors.reduce((sum, x) => sum + x * x, 0) / errors.length);
    // 0.51 % rectangular with 0.025 rectangular beside it; 1000 instruments tell the deviation within 1.5 %.
    const exact = Math.hypot(0.51, 0.025) / Math.sqrt(3);
    expect(Math.abs(mean)).toBeLessThan((4 * exact) / Math.sqrt(1000));
    expect(Math.abs(deviation / exact - 1)).toBeLessThan(0.06);
  });

  it('shows whole counts', async () => {
    const { bench } = await open();
    const shown = new SimulatedMeter(bench, SPEC, 3).ohms(1, 8) / SPEC.resolution;
    expect(shown).toBeCloseTo(Math.round(shown), 9);
  });

  it('has a thermometer with limits of its own', async () => {
    const { bench } = await open();
    const shown = Array.from({ length: 200 }, (_, seed) =>
      new SimulatedMeter(bench, { ...SPEC, thermometer_K: 2 }, seed).temperature(1, 8),
    );
    expect(Math.max(...shown)).toBeLessThanOrEqual(27);
    expect(Math.min(...shown)).toBeGreaterThanOrEqual(23);
    expect(Math.max(...shown) - Math.min(...shown)).toBeGreaterThan(3.5);
  });
});

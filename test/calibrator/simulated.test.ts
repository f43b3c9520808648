import { describe, expect, it } from 'vitest';
import type { TruthTwin } from '../../src/bench/simulated/twin.js';
import { type CalibrationChoice, calibrate } from '../../src/calibrator/calibrate.js';
import { type CalibrationFinding, uncertaintyOf } from '../../src/calibrator/finding.js';
import { plainLoad } from '../calibration/plain-chain.js';
import { hiddenBench, labelled, workWith } from './simulated-stand.js';

const CHOICE: CalibrationChoice = {
  nominal_ohm: null,
  temperature_C: null,
  hot: false,
  inductance: false,
  voltsBy: 'output',
  meteredResponse: false,
};
const METER = { spec: { percent: 0.1, counts: 2, resolution: 0.0001 }, seed: 5 };
const OHMS = { spec: { percent: 0.1, counts: 2, resolution: 0.0001, thermometer_K: 1 }, seed: 6 };
const TRUTHS: ReadonlyMap<number, Partial<TruthTwin>> = new Map([
  [1, { outputLevel: 0.012, inputLevel: -0.008, attenuator: 0.01, load: 0.006, inputCorner_Hz: 90_000 }],
  [2, { outputLevel: -0.02, inputLevel: 0.015, attenuator: -0.013, load: -0.009, outputCorner_Hz: 120_000 }],
]);

/** How far a finding lies from the truth, in units of its own U. */
function inU(found: CalibrationFinding, true_value: number): number {
  const { expanded_percent } = uncertaintyOf(found);
  return (100 * Math.abs(found.value / true_value - 1)) / expanded_percent!;
}

describe('each calibration of a simulated bench finds the truth within its own uncertainty', () => {
  it('of outputs', async () => {
    const bench = hiddenBench(labelled(2), TRUTHS);
    await bench.open();
    const found = await calibrate('output', workWith(bench, labelled(2), METER), CHOICE);
    for (const one of found)
      expect(inU(one, bench.trueChain(one.channel!).outputFullScale_Vpk)).toBeLessThan(1);
  });

  it('of inputs, from an output with a known error and with a meter', async () => {
    const bench = hiddenBench(labelled(2), TRUTHS);
    await bench.open();
    const stated = [
      { source: 'o', type: 'B', distribution: 'normal', standard_percent: 0.05, freedom: null },
    ] as const;
    const setup = labelled(2);
    const known = {
      ...setup,
      channels: setup.channels.map((chain) => ({
        ...chain,
        outputFullScale_Vpk: bench.trueChain(chain.channel).outputFullScale_Vpk * 1.0005,
        outputStated: stated,
      })),
    };
    const byOutput = await calibrate('input', workWith(bench, known, METER), CHOICE);
    const byMeter = await calibrate('input', workWith(bench, setup, METER), { ...CHOICE, voltsBy: 'meter' });
    for (const one of [...byOutput, ...byMeter])
      expect(inU(one, bench.trueChain(one.channel!).inputFullScale_Vpk)).toBeLessThan(1);
    expect(byOutput[0]!.value / bench.trueChain(1).inputFullScale_Vpk).toBeCloseTo(1.0005, 5);
  });

  it('of attenuators, from labels alone', async () => {
    const bench = hiddenBench(labelled(2), TRUTHS);
    await bench.open();
    const found = await calibrate('attenuator', workWith(bench, labelled(2), METER), CHOICE);
    for (const one of found) {
      expect(inU(one, bench.trueChain(one.channel!).attenuator_ratio)).toBeLessThan(1);
      expect(uncertaintyOf(one).expanded_percent).toBeLessThan(0.03);
    }
  });

  it('of loads, cold, hot and by their inductance', async () => {
    const load = plainLoad(8, { tempco_per_K: 60e-6, heating_K_per_W: 0.8, inductance_H: 20e-6 });
    const setup = labelled(2, { loads: [load] });
    const bench = hiddenBench(setup, TRUTHS);
    await bench.open();
    const found = await calibrate('load', workWith(bench, setup, OHMS), {
      ...CHOICE,
      hot: true,
      inductance: true,
    });
    for (const one of found) {
      const truth = bench.trueChain(one.channel!).load(8);
      expect(inU(one, truth.cold_ohm)).toBeLessThan(1);
      const { tempco, inductance } = one.load!;
      expect(Math.abs(tempco!.perKelvin - truth.tempco_per_K)).toBeLessThan(2 * tempco!.standard_perKelvin);
      expect(tempco!.standard_perKelvin).toBeLessThan(0.05 * truth.tempco_per_K);
      expect(inductance!.below).toBe(false);
      expect(inductance!.value_H * 1e6).toBeCloseTo(20, 0);
    }
  });

  it('of responses, by loop alone and with a meter', async () => {
    const bench = hiddenBench(labelled(2), TRUTHS);
    await bench.open();
    const work = workWith(bench, labelled(2), METER, { frequencies_Hz: [20, 100, 10_000, 20_000] });
    const byLoop = await calibrate('response', work, CHOICE);
    const byMeter = await calibrate('response', work, { ...CHOICE, meteredResponse: true });
    for (const found of [...byLoop, ...byMeter])
      for (const { frequency_Hz, level_dB, uncertainty_dB } of found.response!)
        expect(
          Math.abs(level_dB - bench.trueChain(found.channel!).inputResponse_dB(frequency_Hz)),
        ).toBeLessThanOrEqual(2 * uncertainty_dB + 1e-5);
    // Channel 1 loses 0.209 dB at its input, 10 log(1 + (20/90)^2) in the analogue, and nothing at its output.
    const top = (found: CalibrationFinding) => found.response!.at(-1)!;
    expect(top(byMeter[0]!).uncertainty_dB).toBeLessThan(top(byLoop[0]!).uncertainty_dB / 5);
  });

  it('of the floor, whose noise is that of both converters', async () => {
    const bench = hiddenBench(labelled(2), TRUTHS);
    await bench.open();
    const work = workWith(bench, labelled(2), METER, { frequencies_Hz: [1000], levels_dB: [-20] });
    const [found] = await calibrate('floor', work, CHOICE);
    expect(found!.floor!.noise_V / Math.hypot(3e-6, 3e-6)).toBeGreaterThan(0.95);
    expect(found!.floor!.noise_V / Math.hypot(3e-6, 3e-6)).toBeLessThan(1.1);
    expect(found!.floor!.points).toHaveLength(1);
  });
});

describe('wrong cables on a simulated bench', () => {
  it.each([
    [
      'swapped',
      {
        loops: new Map([
          [1, 2],
          [2, 1],
        ]),
      },
      'CHANNELS_SWAPPED',
      /output 1 appears on input 2/,
    ],
    ['ending in one input', { loops: new Map([[2, 1]]) }, 'CHANNELS_SWAPPED', /output 2 appears on input 1/],
    ['missing', { dead: [2] }, 'NOTHING_HEARD', /output 2/],
  ])('%s are named', async (_, miswiring, code, message) => {
    const bench = hiddenBench(labelled(2), TRUTHS);
    await bench.open();
    bench.miswire(miswiring);
    const work = workWith(bench, labelled(2), METER);
    await expect(calibrate('attenuator', work, CHOICE)).rejects.toMatchObject({
      code,
      message: expect.stringMatching(message),
    });
  });

  it('do not matter to an inverted input', async () => {
    const bench = hiddenBench(labelled(1), TRUTHS);
    await bench.open();
    bench.miswire({ inverted: [1] });
    const [found] = await calibrate('attenuator', workWith(bench, labelled(1), METER), CHOICE);
    expect(inU(found!, bench.trueChain(1).attenuator_ratio)).toBeLessThan(1);
  });
});

import { describe, expect, it } from 'vitest';
import { calibrateLoad, inductanceFrom, type LoadChoice } from '../../src/calibrator/calibrate-load.js';
import { uncertaintyOf } from '../../src/calibrator/finding.js';
import type { MeterQuestion } from '../../src/calibrator/meter.js';
import { plainLoad } from '../calibration/plain-chain.js';
import { believed, TrueBench, TrueMeter, truth, workOn } from './true-bench.js';

const COLD: LoadChoice = { nominal_ohm: null, temperature_C: 23, hot: false, inductance: false };
const OHMS = { percent: 0.2, counts: 2, resolution: 0.001 };

/** A load of 8.05 ohm with 50 ppm/K and 12 uH, read without error. */
function trueLoad(question: MeterQuestion): number {
  switch (question.kind) {
    case 'load-ohms':
      return question.state === 'cold' ? 8.05 : 8.05 * (1 + 50e-6 * 100);
    case 'load-impedance':
      return Math.hypot(8.05, 2 * Math.PI * question.frequency_Hz * 12e-6);
    default:
      return 123;
  }
}

function bench(loads: (question: MeterQuestion) => number = trueLoad) {
  const stand = new TrueBench([truth(1)]);
  const meter = new TrueMeter(stand, undefined, undefined, { confirm: true, loads });
  return { meter, work: workOn(stand, meter, { accuracy: OHMS }) };
}

describe('calibrateLoad', () => {
  it('gives the cold ohms, the temperature, and an uncertainty from the meter alone', async () => {
    const { work, meter } = bench();
    const [found] = await calibrateLoad(work, COLD);
    expect(found).toMatchObject({ kind: 'load', channel: 1, nominal_ohm: 8, value: 8.05, temperature_C: 23 });
    // By hand: 0.2 % and 2 x 0.001 / 8.05 = 0.024845 %, each over root three, times two.
    expect(uncertaintyOf(found!).expanded_percent).toBeCloseTo(
      2 * Math.hypot(0.2 / Math.sqrt(3), 0.024845 / Math.sqrt(3)),
      4,
    );
    expect(meter.texts).toHaveLength(1);
    expect(meter.confirmed[0]).toMatch(/cold and disconnected/);
  });

  it('finds the temperature coefficient from a hot reading, without the percents of the meter', async () => {
    const { work } = bench();
    const [found] = await calibrateLoad(work, { ...COLD, hot: true });
    const { perKelvin, standard_perKelvin } = found!.load!.tempco!;
    expect(perKelvin * 1e6).toBeCloseTo(50, 6);
    // By hand: counts 0.002 root 2 / 8.05 / 100 K = 3.5 ppm/K, thermometer 50 ppm/K x 2 root 2 / 100 = 1.4 ppm/K, over root 3.
    expect(standard_perKelvin * 1e6).toBeCloseTo(Math.sqrt((3.5135 ** 2 + 2) / 3), 3);
  });

  it('refuses a meter whose last digits are as large as half the load, and asks for nothing', async () => {
    const { work, meter } = bench();
    const accuracy = { percent: 0.5, counts: 5, resolution: 1 };
    await expect(calibrateLoad({ ...work, accuracy }, COLD)).rejects.toMatchObject({
      code: 'METER_TOO_COARSE',
    });
    expect([meter.texts, meter.confirmed]).toEqual([[], []]);
  });

  it('refuses a load that was hardly warmed', async () => {
    const { work } = bench((question) => (question.kind === 'temperature' ? 30 : 8));
    await expect(calibrateLoad(work, { ...COLD, hot: true })).rejects.toMatchObject({
      code: 'READING_IMPLAUSIBLE',
      message: expect.stringMatching(/only 7 K above/),
    });
  });

  it.each([
    ['a 4 ohm load where 8 ohm are said to be', 3.9],
    ['a load of 5.6 ohm', 5.6],
    ['a load twice as large', 16.1],
    ['kilohms', 0.00805],
    ['an open lead', 1e6],
    ['nothing', 0],
    ['less than nothing', -8],
    ['no number', Number.NaN],
  ])('refuses %s after asking once more', async (_, ohms) => {
    const { work, meter } = bench(() => ohms);
    await expect(calibrateLoad(work, COLD)).rejects.toMatchObject({
      code: 'READING_IMPLAUSIBLE',
      exitStatus: 2,
    });
    expect(meter.texts).toHaveLength(2);
  });

  it('has a load that is off its nominal value confirmed, and says so in the record', async () => {
    const { work, meter } = bench(({ kind }) => (kind === 'load-ohms' ? 6.9 : 23));
    const [found] = await calibrateLoad(work, COLD);
    expect(meter.confirmed).toContain(
      'On channel 1 the 8 ohm load measures 6.9 ohm, 14 % less. Is this the load that is meant, and not another?',
    );
    expect(found!.notes.join()).toContain("needs 'off_nominal: yes' at the load");
  });

  it('reads every load of the channel, or the one that is asked for', async () => {
    const { work, meter } = bench(({ kind, ...rest }) =>
      kind === 'load-ohms' && 'nominal_ohm' in rest ? rest.nominal_ohm * 1.01 : 23,
    );
    const setup = believed(1, { loads: [plainLoad(8), plainLoad(4)] });
    const both = await calibrateLoad({ ...work, setup }, COLD);
    expect(both.map(({ nominal_ohm, value }) => [nominal_ohm, value])).toEqual([
      [8, 8.08],
      [4, 4.04],
    ]);
    const one = await calibrateLoad({ ...work, setup }, { ...COLD, nominal_ohm: 4, temperature_C: null });
    expect(one).toHaveLength(1);
    expect(one[0]!.temperature_C).toBe(23);
    expect(meter.texts).toHaveLength(4);
  });
});

describe('inductanceFrom', () => {
  const exact = { percent: 0.01, counts: 0, resolution: 0 };
  const impedance = (inductance_H: number, frequency_Hz: number) =>
    Math.hypot(8, 2 * Math.PI * frequency_Hz * inductance_H);

  it('finds it from the impedance at 1 kHz and 10 kHz', () => {
    const found = inductanceFrom([impedance(30e-6, 1000), impedance(30e-6, 10_000)], exact);
    expect(found!.below).toBe(false);
    expect(found!.value_H * 1e6).toBeCloseTo(30, 6);
  });

  it('says below how much it lies when the bridge cannot tell it from none', () => {
    for (const inductance_H of [0, 2e-6, 10e-6]) {
      const found = inductanceFrom([impedance(inductance_H, 1000), impedance(inductance_H, 10_000)], {
        ...exact,
        percent: 1,
      });
      expect(found!.below).toBe(true);
      expect(found!.value_H).toBeGreaterThan(inductance_H);
      expect(found!.value_H).toBeLessThan(40e-6);
    }
  });
});

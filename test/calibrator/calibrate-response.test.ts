import { describe, expect, it } from 'vitest';
import { floorAt } from '../../src/calibration/floor.js';
import { calibrateFloor } from '../../src/calibrator/calibrate-floor.js';
import { calibrateResponse } from '../../src/calibrator/calibrate-response.js';
import type { CalibrationProgress } from '../../src/calibrator/calibration-work.js';
import { believed, lagLevel_dB, TrueBench, TrueMeter, truth, workOn } from './true-bench.js';

const RATE_Hz = 48_000;
const relative = (lag: number, frequency_Hz: number, reference_Hz: number) =>
  lagLevel_dB(lag, frequency_Hz, RATE_Hz) - lagLevel_dB(lag, reference_Hz, RATE_Hz);

describe('calibrateResponse', () => {
  it('covers the input by loop alone, however output and input share the roll-off', async () => {
    for (const [outputLag, inputLag] of [
      [0, 0.25],
      [0.25, 0],
      [0.15, 0.15],
    ] as const) {
      const bench = new TrueBench([truth(1, { outputLag, inputLag })]);
      const [found] = await calibrateResponse(workOn(bench, new TrueMeter(bench)), false);
      const points = found!.response!;
      const reference_Hz = points.find(({ frequency_Hz }) => Math.abs(frequency_Hz - 1000) < 2)!.frequency_Hz;
      expect(points.length).toBe(31);
      for (const { frequency_Hz, level_dB, uncertainty_dB } of points)
        expect(Math.abs(level_dB - relative(inputLag, frequency_Hz, reference_Hz))).toBeLessThanOrEqual(
          Math.sqrt(3) * uncertainty_dB + 1e-4,
        );
    }
  });

  it('takes frequencies that one tone serves as one, so that its points rise', async () => {
    const bench = new TrueBench([truth(1)]);
    const asked = { frequencies_Hz: [20, 1000.0001, 1000.1, 10_000, 10_000.1] };
    for (const metered of [false, true]) {
      const [found] = await calibrateResponse(workOn(bench, new TrueMeter(bench), asked), metered);
      expect(found!.response!.map(({ frequency_Hz }) => Math.round(frequency_Hz / 10))).toEqual([
        2, 100, 1000,
      ]);
    }
    const [floor] = await calibrateFloor(
      workOn(bench, new TrueMeter(bench), { frequencies_Hz: [1000, 1000.1], levels_dB: [-6] }),
    );
    expect(floor!.floor!.points).toHaveLength(1);
  });

  it('takes half of what the loop deviates, with limits of the other half', async () => {
    const bench = new TrueBench([truth(1, { outputLag: 0.1, inputLag: 0.2 })]);
    const [found] = await calibrateResponse(workOn(bench, new TrueMeter(bench)), false);
    const top = found!.response!.at(-1)!;
    const deviation_dB = relative(0.1, top.frequency_Hz, 999) + relative(0.2, top.frequency_Hz, 999);
    expect(top.level_dB).toBeCloseTo(deviation_dB / 2, 3);
    expect(top.uncertainty_dB).toBeCloseTo(Math.abs(deviation_dB) / 2 / Math.sqrt(3), 3);
  });

  it('takes the output out with a meter that is good at every frequency', async () => {
    const bench = new TrueBench([truth(1, { outputLag: 0.08, inputLag: 0.06 })]);
    const meter = new TrueMeter(bench, { share: 0.004, offset: 0.001, resolution: 0.001 });
    const [found] = await calibrateResponse(workOn(bench, meter), true);
    for (const { frequency_Hz, level_dB, uncertainty_dB } of found!.response!) {
      expect(Math.abs(level_dB - relative(0.06, frequency_Hz, 999.02))).toBeLessThanOrEqual(
        2 * uncertainty_dB + 1e-4,
      );
      expect(uncertainty_dB).toBeLessThan(0.04);
    }
    expect(found!.response!.map(({ frequency_Hz }) => frequency_Hz)).toEqual(
      found!.response!.map(({ frequency_Hz }) => frequency_Hz).sort((a, b) => a - b),
    );
  });

  it('says how long the rest will take, down to nothing', async () => {
    const bench = new TrueBench([truth(1)]);
    const seen: CalibrationProgress[] = [];
    await calibrateResponse(
      workOn(bench, new TrueMeter(bench), { progress: (progress) => void seen.push(progress) }),
      false,
    );
    const total_s = bench.now_s();
    expect(seen.at(-1)).toMatchObject({ done: 1, left_s: 0 });
    // The first point is at 1 kHz, of ordinary length: its forecast is good to a quarter.
    expect(seen[0]!.left_s / total_s).toBeGreaterThan(0.75);
    expect(seen[0]!.left_s / total_s).toBeLessThan(1.25);
  });
});

describe('calibrateFloor', () => {
  it('finds the noise of the inputs, and THD+N that follows from it at low levels', async () => {
    const bench = new TrueBench([truth(1), truth(2)]);
    const [found] = await calibrateFloor(
      workOn(bench, new TrueMeter(bench), { setup: believed(2, { inputFullScale_Vpk: 2.9 }) }),
    );
    // Sum of three uniform numbers less their mean, times two: variance 4 x 3/12 = 1, so 2 uV in 24 kHz, white.
    const noise_V = 2e-6 * Math.sqrt(19_980 / 24_000);
    expect(found!.floor!.noise_V / noise_V).toBeGreaterThan(0.99);
    expect(found!.floor!.noise_V / noise_V).toBeLessThan(1.02);
    const { points } = found!.floor!;
    expect(points).toHaveLength(10 * 6);
    const at = points.find(
      ({ frequency_Hz, level_dB }) => Math.abs(frequency_Hz - 1000) < 2 && level_dB < -59,
    )!;
    const tone_V = (10 ** (at.level_dB / 20) * 2.9) / Math.SQRT2;
    expect(at.thdn_percent / ((100 * noise_V) / tone_V)).toBeCloseTo(1, 1);
    expect(found!.channel).toBeNull();
    expect(floorAt({ kind: 'measured', points }, 1000, -20)).toBeLessThan(0.01);
  });

  it('leaves out levels that the loop does not reach, and says so', async () => {
    const bench = new TrueBench([truth(1, { input_Vpk: 28 })]);
    const work = workOn(bench, new TrueMeter(bench));
    const [found] = await calibrateFloor(work);
    expect(Math.max(...found!.floor!.points.map(({ level_dB }) => level_dB))).toBeLessThan(-20);
    expect(work.told.join()).toMatch(/nothing above is read/);
    await expect(calibrateFloor({ ...work, levels_dB: [-3] })).rejects.toMatchObject({
      code: 'NOTHING_HEARD',
    });
  });

  it('takes the worst channel of each point', async () => {
    const bench = new TrueBench([truth(1), truth(2, { input_Vpk: 5 })]);
    const work = workOn(bench, new TrueMeter(bench), { levels_dB: [-20] });
    const both = (await calibrateFloor(work))[0]!.floor!.points;
    const first = (await calibrateFloor({ ...work, channels: [1] }))[0]!.floor!.points;
    expect(both).toHaveLength(10);
    // The same noise in volts is less of an input's full scale of 5 V: channel 1 is the worse one, but for chance.
    both.forEach(({ thdn_percent }, i) => {
      expect(thdn_percent / first[i]!.thdn_percent).toBeCloseTo(1, 1);
    });
  });
});

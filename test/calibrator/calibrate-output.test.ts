import { describe, expect, it } from 'vitest';
import { calibrateOutput } from '../../src/calibrator/calibrate-output.js';
import { TrueBench, TrueMeter, truth, workOn } from './true-bench.js';

describe('calibrateOutput', () => {
  it('finds the volts at full scale exactly with a meter that has no error', async () => {
    const bench = new TrueBench([truth(1, { output_Vpk: 2.75 }), truth(2, { output_Vpk: 2.95 })]);
    const found = await calibrateOutput(workOn(bench, new TrueMeter(bench)));
    expect(found.map(({ channel }) => channel)).toEqual([1, 2]);
    expect(found[0]!.value / 2.75 - 1).toBeCloseTo(0, 7);
    expect(found[1]!.value / 2.95 - 1).toBeCloseTo(0, 7);
    expect(found[0]!.linearity_percent).toBeLessThan(1e-4);
    expect(bench.wirings).toEqual(['open', 'open']);
    expect(bench.silent).toBe(true);
    expect(bench.loudest).toBeCloseTo(10 ** (-1 / 20), 6);
  });

  it.each([
    ['in millivolts', 1000, /thousand times off/],
    ['ten times off', 10, /ten times off/],
    ['a tenth', 0.1, /ten times off/],
    ['as the peak', Math.SQRT2, /peak/],
    ['peak to peak', 2 * Math.SQRT2, /peak to peak/],
    ['of an output that is not connected', 1e-5, /no signal/],
    ['that is negative', -1, /negative/],
    ['that is no number', Number.NaN, /not a number/],
  ])('asks once more for a reading %s, and takes the right one', async (_, factor, reason) => {
    const bench = new TrueBench([truth(1)]);
    const meter = new TrueMeter(bench, undefined, (reading, count) =>
      count === 1 ? factor * reading : reading,
    );
    const work = workOn(bench, meter);
    const [found] = await calibrateOutput(work);
    expect(found!.value / 2.8 - 1).toBeCloseTo(0, 7);
    expect(work.told.join()).toMatch(reason);
    expect(meter.texts).toHaveLength(7);
  });

  it('refuses a reading that is ten times off twice, with the reason, and falls silent', async () => {
    const bench = new TrueBench([truth(1)]);
    const work = workOn(bench, new TrueMeter(bench, undefined, (reading) => 10 * reading));
    await expect(calibrateOutput(work)).rejects.toMatchObject({
      code: 'READING_IMPLAUSIBLE',
      exitStatus: 2,
      message: expect.stringMatching(/ten times off/),
    });
    expect(bench.silent).toBe(true);
  });

  it('finds a single later reading of the peak by the readings before it', async () => {
    const bench = new TrueBench([truth(1)]);
    const work = workOn(
      bench,
      new TrueMeter(bench, undefined, (reading, count) => (count === 4 ? Math.SQRT2 * reading : reading)),
    );
    await calibrateOutput(work);
    expect(work.told.filter((text) => /peak/.test(text))).toHaveLength(1);
  });

  it('refuses an output that gives less than its share at high levels', async () => {
    const bench = new TrueBench([truth(1, { compression: 0.025 })]);
    await expect(calibrateOutput(workOn(bench, new TrueMeter(bench)))).rejects.toMatchObject({
      code: 'NOT_LINEAR',
    });
  });

  it('refuses a level that reads otherwise the second time', async () => {
    const bench = new TrueBench([truth(1)]);
    const drift = new TrueMeter(bench, undefined, (reading, count) =>
      count === 6 ? 1.01 * reading : reading,
    );
    await expect(calibrateOutput(workOn(bench, drift))).rejects.toMatchObject({ code: 'READING_UNSTABLE' });
  });

  it('refuses when the meter has no accuracy, or the wiring is not confirmed, before anything is played', async () => {
    const bench = new TrueBench([truth(1)]);
    await expect(
      calibrateOutput(workOn(bench, new TrueMeter(bench), { accuracy: null })),
    ).rejects.toMatchObject({ code: 'NOTHING_TO_COMPARE_WITH' });
    const unsure = new TrueMeter(bench, undefined, undefined, { confirm: false, loads: () => 0 });
    await expect(calibrateOutput(workOn(bench, unsure))).rejects.toMatchObject({ code: 'NOT_CONFIRMED' });
    expect(bench.loudest).toBe(0);
  });

  it('ends at once, silent, when the operator breaks off while the meter is read', async () => {
    const bench = new TrueBench([truth(1)]);
    const controller = new AbortController();
    const meter = new TrueMeter(bench);
    const work = workOn(bench, meter, { signal: controller.signal });
    const waiting = {
      ...work,
      meter: { confirm: async () => true, read: () => new Promise<number>(() => controller.abort()) },
    };
    await expect(calibrateOutput(waiting)).rejects.toMatchObject({ code: 'BROKEN_OFF', exitStatus: 130 });
    expect(bench.silent).toBe(true);
  });

  it('refuses a meter that cannot tell the weakest level before anything is played', async () => {
    const bench = new TrueBench([truth(1)]);
    const accuracy = { percent: 0.5, counts: 3, resolution: 0.01 };
    // By hand: close to 20 mV rms at -40 dB, of which 3 counts are 30 mV.
    const work = workOn(bench, new TrueMeter(bench), { accuracy, levels_dB: [-40, -6, -1] });
    await expect(calibrateOutput(work)).rejects.toMatchObject({
      code: 'METER_TOO_COARSE',
      message: expect.stringMatching(/channel 1: a meter of this accuracy is up to 1[45]\d(\.\d)? % off at/),
    });
    expect(bench.loudest).toBe(0);
  });
});

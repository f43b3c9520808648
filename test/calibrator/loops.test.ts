import { describe, expect, it } from 'vitest';
import { calibrateAttenuator } from '../../src/calibrator/calibrate-attenuator.js';
import { calibrateFloor } from '../../src/calibrator/calibrate-floor.js';
import { calibrateInput } from '../../src/calibrator/calibrate-input.js';
import { calibrateResponse } from '../../src/calibrator/calibrate-response.js';
import { type CalibrationWork, inRounds } from '../../src/calibrator/calibration-work.js';
import type { CalibrationFinding } from '../../src/calibrator/finding.js';
import { believed, TrueBench, TrueMeter, type Truth, truth, workOn } from './true-bench.js';

const OUTPUT = {
  source: 'output: calibration',
  type: 'B',
  distribution: 'normal',
  standard_percent: 0.2,
  freedom: null,
} as const;
const calibrated = (channels: number, output_Vpk: number) =>
  believed(channels, { outputFullScale_Vpk: output_Vpk, outputStated: [OUTPUT] });

type Procedure = (work: CalibrationWork) => Promise<CalibrationFinding[]>;
const PROCEDURES: readonly (readonly [string, Procedure])[] = [
  ['input', (work) => calibrateInput(work, 'output')],
  ['attenuator', calibrateAttenuator],
  ['floor', calibrateFloor],
  ['response', (work) => calibrateResponse(work, false)],
];

function looped(changes: readonly Partial<Truth>[], more: Partial<CalibrationWork> = {}) {
  const bench = new TrueBench(changes.map((change, i) => truth(i + 1, change)));
  return {
    bench,
    work: workOn(bench, new TrueMeter(bench), { setup: calibrated(changes.length, 2.8), ...more }),
  };
}

describe.each(PROCEDURES)('calibrating by loop: %s', (_, procedure) => {
  it('names who hears whom when two cables are swapped', async () => {
    const { bench, work } = looped([{ heardOn: 2 }, { heardOn: 1 }]);
    await expect(procedure(work)).rejects.toMatchObject({
      code: 'CHANNELS_SWAPPED',
      exitStatus: 2,
      message: expect.stringMatching(/output 1 appears on input 2 .*output 2 appears on input 1 /),
    });
    expect(bench.silent).toBe(true);
  });

  it('refuses an output that appears on two inputs', async () => {
    const { work } = looped([{ heardOn: 1 }, { heardOn: 1 }]);
    await expect(procedure(work)).rejects.toMatchObject({
      code: 'CHANNELS_SWAPPED',
      message: expect.stringMatching(/output 2 appears on input 1 \(input 2 is its own\)/),
    });
  });

  it('says which output is heard nowhere', async () => {
    const { work } = looped([{}, { heardOn: null }]);
    await expect(procedure(work)).rejects.toMatchObject({
      code: 'NOTHING_HEARD',
      message: expect.stringMatching(/nothing is heard of output 2/),
    });
  });

  it('refuses an input that clips, and falls silent', async () => {
    const { bench, work } = looped([{ clipAt: 0.003 }]);
    await expect(procedure(work)).rejects.toMatchObject({ code: 'CONVERTER_CLIPS' });
    expect(bench.silent).toBe(true);
  });

  it('plays nothing when the wiring is not confirmed', async () => {
    const { bench, work } = looped([{}]);
    const unsure = new TrueMeter(bench, undefined, undefined, { confirm: false, loads: () => 0 });
    await expect(procedure({ ...work, meter: unsure })).rejects.toMatchObject({ code: 'NOT_CONFIRMED' });
    expect(bench.loudest).toBe(0);
  });
});

describe('calibrateInput', () => {
  it('finds full scale from a calibrated output, and hands on what stands behind that', async () => {
    const { bench, work } = looped([{ input_Vpk: 2.9 }, { input_Vpk: 1.5 }]);
    const found = await calibrateInput(work, 'output');
    expect(found[0]!.value / 2.9 - 1).toBeCloseTo(0, 6);
    expect(found[1]!.value / 1.5 - 1).toBeCloseTo(0, 6);
    expect(found[0]!.standing).toContainEqual(OUTPUT);
    expect(found[0]!.linearity_percent).toBeLessThan(1e-3);
    expect(bench.wirings).toEqual(['loop']);
  });

  it('carries the error of the output over in full, within its stated limits', async () => {
    const { work } = looped([{}], { setup: calibrated(1, 2.8 * 1.003) });
    const [found] = await calibrateInput(work, 'output');
    expect(found!.value / 2.9).toBeCloseTo(1.003, 6);
  });

  it('never drives an input beyond its top although the output could', async () => {
    const { bench, work } = looped([{ input_Vpk: 1 }]);
    await calibrateInput(work, 'output');
    expect((bench.loudest * 2.8) / 1).toBeLessThan(10 ** (-1 / 20));
  });

  it('reads the volts with a meter and then needs no calibrated output', async () => {
    const { bench, work } = looped([{ output_Vpk: 2.7, input_Vpk: 2.9 }], { setup: believed(1) });
    const [found] = await calibrateInput({ ...work, meter: new TrueMeter(bench) }, 'meter');
    expect(found!.value / 2.9 - 1).toBeCloseTo(0, 6);
  });

  it('refuses an output of which nothing is stated, before anything is played', async () => {
    const { bench, work } = looped([{}, {}], { setup: believed(2) });
    await expect(calibrateInput(work, 'output')).rejects.toMatchObject({
      code: 'NOTHING_TO_COMPARE_WITH',
      message: expect.stringMatching(/outputs 1 and 2 are calibrated.*--metered/),
    });
    expect(bench.loudest).toBe(0);
  });

  it('refuses a loop that does not follow its level', async () => {
    const { work } = looped([{ compression: 0.02 }]);
    await expect(calibrateInput(work, 'output')).rejects.toMatchObject({ code: 'NOT_LINEAR' });
  });
});

describe('calibrateAttenuator', () => {
  it('finds the ratio whatever output and input truly are, and inherits nothing of their uncertainty', async () => {
    const { bench, work } = looped([{ output_Vpk: 2.6, input_Vpk: 3.1, ratio: 24.3 }, { ratio: 25.9 }], {
      setup: believed(2),
    });
    const found = await calibrateAttenuator(work);
    expect(found[0]!.value / 24.3 - 1).toBeCloseTo(0, 5);
    expect(found[1]!.value / 25.9 - 1).toBeCloseTo(0, 5);
    expect(bench.wirings).toEqual(['loop', 'loop-through-attenuator']);
    for (const { standard_percent } of found[0]!.standing) expect(standard_percent).toBeLessThan(0.012);
  });

  it('puts what the loop departs from proportion between the two levels into its limits', async () => {
    const { work } = looped([{ compression: 0.002 }]);
    const [found] = await calibrateAttenuator(work);
    const proportion = found!.standing.find(({ source }) => /proportionality/.test(source))!;
    // The output itself gives 0.2 % less at full scale: at -3 dB and a 25th of that the difference is 0.136 %.
    const top = 10 ** (-3 / 20) / (2.8 / 2.9);
    expect(proportion.standard_percent * Math.sqrt(3)).toBeCloseTo(0.2 * top * (1 - 1 / 25), 2);
  });

  it('says that the attenuator was left out, or that it is another than the bench file says', async () => {
    await expect(calibrateAttenuator(looped([{ ratio: 1 }]).work)).rejects.toMatchObject({
      code: 'READING_IMPLAUSIBLE',
      message: expect.stringMatching(/left out/),
    });
    await expect(calibrateAttenuator(looped([{ ratio: 2.5 }]).work)).rejects.toMatchObject({
      code: 'READING_IMPLAUSIBLE',
      message: expect.stringMatching(/divides by 2\.5.*bench file says 25/),
    });
  });
});

describe('a bench whose channels take turns at an input', () => {
  it('is looped in rounds, each input once a round', async () => {
    const { work } = looped([{ ratio: 24 }, { ratio: 26, heardOn: 1 }]);
    const shared = {
      ...work.setup,
      channels: work.setup.channels.map((chain) => ({ ...chain, input: 1 })),
    };
    const asked: number[][] = [];
    const found = await inRounds({ ...work, setup: shared }, async (round) => {
      asked.push([...round.channels]);
      return round.channels;
    });
    expect(asked).toEqual([[1], [2]]);
    expect(found).toEqual([1, 2]);
  });
});

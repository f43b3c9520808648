import { beforeAll, describe, expect, it } from 'vitest';
import type { BenchSetup } from '../../src/bench/bench-setup.js';
import { type FiledRecord, readRecord } from '../../src/calibration/record-file.js';
import type { ResponsePoint } from '../../src/calibration/response.js';
import { recordText } from '../../src/calibration/write-record.js';
import { calibrateAttenuator } from '../../src/calibrator/calibrate-attenuator.js';
import { calibrateInput } from '../../src/calibrator/calibrate-input.js';
import { calibrateLoad } from '../../src/calibrator/calibrate-load.js';
import { calibrateOutput } from '../../src/calibrator/calibrate-output.js';
import { calibrateResponse } from '../../src/calibrator/calibrate-response.js';
import { draftOf } from '../../src/calibrator/draft-of.js';
import type { Finding } from '../../src/calibrator/finding.js';
import { budgetOf, type Contribution, weighed } from '../../src/measure/budget.js';
import { seededRandom } from '../../src/stimulus/dither.js';
import { plainLoad } from '../calibration/plain-chain.js';
import { believed, lagLevel_dB, TrueBench, TrueMeter, type Truth, truth, workOn } from './true-bench.js';

/** What the meters are good for; errors are drawn from all of it, once per bench, as a meter keeps its errors. */
const VOLTS = { percent: 0.5, counts: 3, resolution: 0.001 };
const OHMS = { percent: 0.2, counts: 2, resolution: 0.001 };
const TRIALS = 200;
const HIGH_Hz = 15_000;
const KNOWN_V = 28.3;
const ABOUT = {
  date: '2026-03-01',
  due: null,
  instrument: null,
  serial: null,
  by: null,
  temperature_C: null,
  bench: null,
};

/** A bench of hidden truth, and the meters that it is calibrated with. */
interface Hidden {
  readonly truth: Truth;
  readonly load_ohm: number;
  readonly share: number;
  readonly offset: number;
  readonly ohmsShare: number;
  readonly ohmsOffset: number;
}

function hidden(random: () => number): Hidden {
  const within = (limit: number) => limit * (2 * random() - 1);
  // What the whole loop loses at 20 kHz, and the share of it that the input loses: anything from none to all.
  const lost_dB = 0.05 + 0.35 * random();
  const share = random();
  return {
    truth: truth(1, {
      output_Vpk: 2.83 * (1 + within(0.03)),
      input_Vpk: 2.83 * (1 + within(0.03)),
      ratio: 25 * (1 + within(0.03)),
      outputLag: lagFor(lost_dB * (1 - share)),
      inputLag: lagFor(lost_dB * share),
    }),
    load_ohm: 8 * (1 + within(0.02)),
    share: within(VOLTS.percent / 100),
    offset: within(VOLTS.counts * VOLTS.resolution),
    ohmsShare: within(OHMS.percent / 100),
    ohmsOffset: within(OHMS.counts * OHMS.resolution),
  };
}

/** The low-pass that loses so much at 20 kHz, by bisection. */
function lagFor(lost_dB: number): number {
  let [low, high] = [0, 0.5];
  for (let i = 0; i < 50; i += 1) {
    const middle = (low + high) / 2;
    if (-lagLevel_dB(middle, 20_000, 48_000) < lost_dB) low = middle;
    else high = middle;
  }
  return low;
}

/** A finding as a bench gets it back from its record. */
function filed(found: Finding): FiledRecord {
  return readRecord(recordText(draftOf(found, ABOUT)), 'record', 'record-2026-03-01');
}

interface Calibrated {
  readonly input: FiledRecord;
  readonly attenuator: FiledRecord;
  readonly load: FiledRecord;
  readonly response: readonly ResponsePoint[];
}

/** The whole calibration of a bench, one record after the other, each used by the next. */
async function calibrated({ truth, ...hidden }: Hidden): Promise<Calibrated> {
  const bench = new TrueBench([truth]);
  const meter = new TrueMeter(bench, {
    share: hidden.share,
    offset: hidden.offset,
    resolution: VOLTS.resolution,
  });
  const work = workOn(bench, meter, { accuracy: VOLTS });
  const output = filed((await calibrateOutput(work))[0]!);
  const setup: BenchSetup = believed(1, {
    outputFullScale_Vpk: output.value!,
    outputStated: output.stated,
    loads: [plainLoad(8)],
  });
  const [input] = await calibrateInput({ ...work, setup, levels_dB: [-12, -6, -2] }, 'output');
  const [attenuator] = await calibrateAttenuator({ ...work, setup, levels_dB: [-3, -6] });
  const [response] = await calibrateResponse({ ...work, setup, frequencies_Hz: [500, HIGH_Hz] }, false);
  const { resolution } = OHMS;
  const ohms =
    Math.round((hidden.load_ohm * (1 + hidden.ohmsShare) + hidden.ohmsOffset) / resolution) * resolution;
  const ohmmeter = new TrueMeter(bench, undefined, undefined, { confirm: true, loads: () => ohms });
  const [load] = await calibrateLoad(
    { ...work, meter: ohmmeter, accuracy: OHMS },
    { nominal_ohm: null, temperature_C: 23, hot: false, inductance: false },
  );
  return {
    input: filed(input!),
    attenuator: filed(attenuator!),
    load: filed(load!),
    response: filed(response!).response!.points,
  };
}

interface Outcome {
  /** Measured power against the true one, and U, percent. */
  readonly error: number;
  readonly U: number;
}

/** A known voltage at the load, as the calibrated bench reads its power, against the truth. */
function powerRead({ truth, load_ohm }: Hidden, bench: Calibrated, point: ResponsePoint | null): Outcome {
  const lost_dB = point
    ? lagLevel_dB(truth.inputLag, point.frequency_Hz, 48_000) - lagLevel_dB(truth.inputLag, 1000, 48_000)
    : 0;
  // Full scale is what a tone of 1 kHz needs, losses of the input at 1 kHz included.
  const atRef = 10 ** (lagLevel_dB(truth.inputLag, 1000, 48_000) / 20);
  const code = ((KNOWN_V * Math.SQRT2) / truth.ratio / truth.input_Vpk) * atRef * 10 ** (lost_dB / 20);
  const corrected = code / 10 ** ((point?.level_dB ?? 0) / 20);
  const voltage_V = (corrected * bench.input.value! * bench.attenuator.value!) / Math.SQRT2;
  const power_W = voltage_V ** 2 / bench.load.value!;
  const true_W = KNOWN_V ** 2 / load_ohm;
  const flatness: Contribution[] = point
    ? [
        {
          source: 'response',
          type: 'B',
          distribution: 'rectangular',
          standard_percent: (100 * Math.LN10 * point.uncertainty_dB) / 20,
          freedom: null,
        },
      ]
    : [];
  const components = [
    ...weighed([...bench.input.stated!, ...bench.attenuator.stated!, ...flatness], 2),
    ...weighed(bench.load.stated!, -1),
  ];
  const U = budgetOf({ quantity: 'power', value: power_W, unit: 'W', components }).expanded_percent!;
  return { error: 100 * (power_W / true_W - 1), U };
}

/** Half the width that holds 95.45 % of the errors is what the inputs justify; twice their rms is the GUM's form of it. */
function judged(outcomes: readonly Outcome[]): { covered: number; ratio: number } {
  const covered = outcomes.filter(({ error, U }) => Math.abs(error) <= U).length / outcomes.length;
  const rms = Math.sqrt(outcomes.reduce((total, { error }) => total + error ** 2, 0) / outcomes.length);
  const mean = outcomes.reduce((total, { U }) => total + U, 0) / outcomes.length;
  return { covered, ratio: mean / (2 * rms) };
}

describe('200 benches of hidden gain, ratio, resistance and response, calibrated by the procedures', () => {
  const middle: Outcome[] = [];
  const high: Outcome[] = [];

  beforeAll(async () => {
    const random = seededRandom(3);
    for (let trial = 0; trial < TRIALS; trial += 1) {
      const bench = hidden(random);
      const known = await calibrated(bench);
      middle.push(powerRead(bench, known, null));
      high.push(powerRead(bench, known, known.response.find(({ frequency_Hz }) => frequency_Hz > 14_000)!));
    }
  }, 300_000);

  it('give a power near 1 kHz within U of the truth in 93 % of trials or more', () => {
    expect(judged(middle).covered).toBeGreaterThanOrEqual(0.93);
  });

  it('give a power at 15 kHz within U of the truth in 93 % of trials or more', () => {
    expect(judged(high).covered).toBeGreaterThanOrEqual(0.93);
  });

  it('state a U of at most 1.3 times what the errors of the meters justify', () => {
    // What was drawn: percents and counts of the voltmeter act on the output alone (input and attenuator are loops), twice
    // on a power; at a weighted mean level of about 1.3 V three counts are 0.23 %. Those of the ohmmeter act once.
    const volts = Math.hypot(0.5, 0.23) / Math.sqrt(3);
    const ohms = Math.hypot(0.2, 0.025) / Math.sqrt(3);
    const justified = 2 * Math.hypot(2 * volts, ohms);
    for (const { U } of middle) expect(U / justified).toBeLessThan(1.3);
    for (const outcomes of [middle, high]) {
      expect(judged(outcomes).ratio).toBeLessThan(1.3);
      expect(judged(outcomes).ratio).toBeGreaterThan(0.8);
    }
  });
});

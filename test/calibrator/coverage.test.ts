import { beforeAll, describe, expect, it } from 'vitest';
import type { SimulatedBench } from '../../src/bench/simulated/simulated-bench.js';
import { SimulatedMeter } from '../../src/bench/simulated/simulated-meter.js';
import type { TruthTwin } from '../../src/bench/simulated/twin.js';
import type { ChannelChain } from '../../src/calibration/chain.js';
import { powerBudget } from '../../src/calibration/power-budget.js';
import { responseAt } from '../../src/calibration/response.js';
import { calibrateAttenuator } from '../../src/calibrator/calibrate-attenuator.js';
import { calibrateInput } from '../../src/calibrator/calibrate-input.js';
import { calibrateLoad } from '../../src/calibrator/calibrate-load.js';
import { calibrateOutput } from '../../src/calibrator/calibrate-output.js';
import { calibrateResponse } from '../../src/calibrator/calibrate-response.js';
import { ToneStand } from '../../src/calibrator/tone-stand.js';
import { seededRandom } from '../../src/signal/dither.js';
import { plainLoad } from '../calibration/plain-chain.js';
import { filed, hiddenBench, labelled, workWith } from './simulated-stand.js';

/** A meter that reads the truth to the last digit. */
const EXACT = { percent: 0, counts: 0, resolution: 0 };

/** What the meters promise; an instrument is wrong somewhere within it, and stays so. */
const VOLTS = { percent: 0.5, counts: 3, resolution: 0.001 };
const OHMS = { percent: 0.2, counts: 2, resolution: 0.001 };
const TRIALS = 200;
/** Trials whose power is played too, and not only computed from the truth. */
const PLAYED = 10;
const [MIDDLE_Hz, HIGH_Hz] = [1000, 15_000];
const KNOWN_V = 26;

function hidden(random: () => number): Partial<TruthTwin> {
  const within = (limit: number) => limit * (2 * random() - 1);
  // What the whole loop loses at 20 kHz, and the share of it that the input loses: anything from none to all.
  const lost_dB = 0.05 + 0.35 * random();
  const share = random();
  return {
    outputLevel: within(0.03),
    inputLevel: within(0.03),
    attenuator: within(0.03),
    load: within(0.02),
    outputCorner_Hz: cornerFor(lost_dB * (1 - share)),
    inputCorner_Hz: cornerFor(lost_dB * share),
  };
}

/** Corner of a low-pass of first order that loses so much at 20 kHz: 10 log(1 + (f/fc)^2). */
function cornerFor(lost_dB: number): number {
  return 20_000 / Math.sqrt(10 ** (lost_dB / 10) - 1);
}

/** The whole calibration of a bench, one record after the other, each used by the next: what the bench then knows. */
async function calibrated(bench: SimulatedBench, seed: number): Promise<ChannelChain> {
  const volts = { spec: VOLTS, seed };
  const work = workWith(bench, labelled(1), volts);
  const output = filed((await calibrateOutput(work))[0]!);
  const setup = labelled(1, { outputFullScale_Vpk: output.value!, outputStated: output.stated });
  const looped = { ...work, setup };
  const [input] = await calibrateInput({ ...looped, levels_dB: [-12, -6, -2] }, 'output');
  const [attenuator] = await calibrateAttenuator({ ...looped, levels_dB: [-3, -6] });
  const [response] = await calibrateResponse({ ...looped, frequencies_Hz: [500, HIGH_Hz, 20_000] }, false);
  const [load] = await calibrateLoad(workWith(bench, setup, { spec: OHMS, seed: seed + 1 }), {
    nominal_ohm: null,
    temperature_C: null,
    hot: false,
    inductance: false,
  });
  const [inp, att, ohms] = [filed(input!), filed(attenuator!), filed(load!)];
  return {
    ...setup.channels[0]!,
    inputFullScale_Vpk: inp.value!,
    inputStated: inp.stated,
    attenuator_ratio: att.value!,
    attenuatorStated: att.stated,
    response: filed(response!).response,
    loads: [plainLoad(8, { measured_ohm: ohms.value!, stated: ohms.stated })],
  };
}

/** A measured power against the true one, and its U, both in percent. */
interface Outcome {
  readonly error: number;
  readonly U: number;
}

/** What a calibrated bench says of a tone whose digital level (peak) and true power are known. */
function outcome(chain: ChannelChain, frequency_Hz: number, code: number, true_W: number): Outcome {
  const load = chain.loads[0]!;
  const level_dB = responseAt(chain.response!, frequency_Hz).level_dB;
  const voltage_V =
    (code * chain.inputFullScale_Vpk * chain.attenuator_ratio) / 10 ** (level_dB / 20) / Math.SQRT2;
  const budget = powerBudget({
    chain,
    load,
    frequency_Hz,
    voltage_V,
    warm_ohm: load.measured_ohm,
    noise_V: 0,
    bandwidth_Hz: 20_000,
    seconds: 0.68,
    levelMoved: 0,
  });
  expect(budget.missing).toEqual([]);
  return { error: 100 * (budget.value / true_W - 1), U: budget.expanded_percent! };
}

/** Digital level that a voltage at the load truly gives. */
function trueCode(bench: SimulatedBench, frequency_Hz: number): number {
  const { inputFullScale_Vpk, attenuator_ratio, inputResponse_dB } = bench.trueChain(1);
  return (
    ((KNOWN_V * Math.SQRT2) / attenuator_ratio / inputFullScale_Vpk) *
    10 ** (inputResponse_dB(frequency_Hz) / 20)
  );
}

const trueOhms = (bench: SimulatedBench) => bench.trueChain(1).load(8).cold_ohm;

/** The same with a tone played through the unit and an exact meter across the load. */
async function played(bench: SimulatedBench, nominal_Hz: number) {
  const meter = new SimulatedMeter(bench, EXACT, 1);
  const stand = new ToneStand(workWith(bench, labelled(1), { spec: EXACT, seed: 1 }));
  await bench.configure({ load_ohm: 8, driven: [1], wiring: 'unit' });
  stand.set(nominal_Hz, new Map([[1, 0.6]]));
  const [analysis] = await stand.read();
  const true_W = bench.loadVolts(1) ** 2 / meter.ohms(1, 8);
  const { frequency_Hz } = stand.tone(nominal_Hz);
  await stand.stop();
  return { frequency_Hz, code: analysis!.fundamental_rms * Math.SQRT2, true_W };
}

function judged(outcomes: readonly Outcome[]) {
  const covered = outcomes.filter(({ error, U }) => Math.abs(error) <= U).length / outcomes.length;
  const rms = Math.sqrt(outcomes.reduce((total, { error }) => total + error ** 2, 0) / outcomes.length);
  const mean = outcomes.reduce((total, { U }) => total + U, 0) / outcomes.length;
  return { covered, overErrors: mean / (2 * rms) };
}

/** What the limits of the meters justify at 1 kHz, percent: two rectangular errors of each, volts counted twice. */
function justified(bench: SimulatedBench): number {
  const full_V = bench.trueChain(1).outputFullScale_Vpk / Math.SQRT2;
  // Sum over the levels of the weights 1 / limit^2, as the weighted fit through zero weighs an offset.
  const levels = [-20, -12, -6, -3, -1, -6].map((level_dB) => full_V * 10 ** (level_dB / 20));
  const limit = (reading_V: number) => 0.005 * reading_V + 0.003;
  const sum = (power: number) => levels.reduce((total, V) => total + V ** power / limit(V) ** 2, 0);
  const offset_percent = (100 * 0.003 * sum(1)) / sum(2);
  const ohms = Math.hypot(0.2, (100 * 0.002) / 8);
  return (2 / Math.sqrt(3)) * Math.hypot(2 * 0.5, 2 * offset_percent, ohms);
}

describe('200 simulated benches of hidden gain, ratio, resistance and response, calibrated by the procedures', () => {
  const middle: (Outcome & { readonly justified: number })[] = [];
  const high: Outcome[] = [];

  beforeAll(async () => {
    const random = seededRandom(3);
    for (let trial = 0; trial < TRIALS; trial += 1) {
      const bench = hiddenBench(labelled(1), new Map([[1, hidden(random)]]));
      await bench.open();
      const chain = await calibrated(bench, 100 * trial + 1);
      const true_W = KNOWN_V ** 2 / trueOhms(bench);
      middle.push({
        ...outcome(chain, MIDDLE_Hz, trueCode(bench, MIDDLE_Hz), true_W),
        justified: justified(bench),
      });
      high.push(outcome(chain, HIGH_Hz, trueCode(bench, HIGH_Hz), true_W));
      if (trial >= PLAYED) continue;
      for (const [nominal_Hz, of] of [
        [MIDDLE_Hz, middle],
        [HIGH_Hz, high],
      ] as const) {
        const reading = await played(bench, nominal_Hz);
        const { error } = outcome(chain, reading.frequency_Hz, reading.code, reading.true_W);
        // Noise of both converters and what half a hertz of response amounts to: less than a hundredth of U.
        expect(Math.abs(error - of.at(-1)!.error)).toBeLessThan(0.01);
      }
    }
  }, 300_000);

  it('give a power near 1 kHz within U of the truth in 93 % of trials or more', () => {
    expect(judged(middle).covered).toBeGreaterThanOrEqual(0.93);
  });

  it('give a power at 15 kHz within U of the truth in 93 % of trials or more', () => {
    expect(judged(high).covered).toBeGreaterThanOrEqual(0.93);
  });

  it('state a U of at most 1.3 times what the limits of the meters justify, in every trial', () => {
    for (const { U, justified } of middle) expect(U / justified).toBeLessThan(1.3);
  });

  it('state a U that is neither far above nor below twice the errors that came about', () => {
    for (const outcomes of [middle, high]) {
      expect(judged(outcomes).overErrors).toBeLessThan(1.3);
      expect(judged(outcomes).overErrors).toBeGreaterThan(0.85);
    }
  });
});

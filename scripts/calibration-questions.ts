import { readFileSync } from 'node:fs';
import type { Bench } from '../src/bench/bench.js';
import { readBench } from '../src/bench/bench-file.js';
import { SimulatedBench } from '../src/bench/simulated/simulated-bench.js';
import { SimulatedMeter } from '../src/bench/simulated/simulated-meter.js';
import { readTwin } from '../src/bench/simulated/twin-file.js';
import { CALIBRATED, type Calibrated, calibrate } from '../src/calibrator/calibrate.js';
import { NotConfirmed } from '../src/calibrator/calibration-errors.js';
import { simulatedReadings } from '../src/calibrator/simulated-readings.js';

/** Questions after which a calibration is ended, since it asks nothing more that concerns a connection. */
const QUESTIONS: Readonly<Record<Calibrated, number>> = {
  output: 2,
  input: 1,
  attenuator: 2,
  load: 2,
  floor: 1,
  response: 1,
};
/** Good enough for any calibration. */
const METER = { percent: 0.1, counts: 2, resolution: 1e-5 };

/**
 * What each calibration of channel 1 has confirmed by hand, in its order: the calibrations themselves ask it, on a simulated
 * bench. Its output is joined to its input throughout, so that the calibration of an output asks about that, too.
 *
 * @param path of a bench file with a twin
 */
export async function calibrationQuestions(path: string): Promise<string[]> {
  const asked: string[] = [];
  for (const what of CALIBRATED) asked.push(...(await questionsOf(what, path)));
  return [...new Set(asked)];
}

async function questionsOf(what: Calibrated, path: string): Promise<string[]> {
  const setup = readBench(readFileSync(path, 'utf8'), path);
  if (setup.interface.kind !== 'simulated') throw new Error(`${path} names no twin`);
  const { twinPath } = setup.interface;
  const simulated = new SimulatedBench(setup, readTwin(readFileSync(twinPath, 'utf8'), twinPath));
  const bench = joined(simulated);
  const asked: string[] = [];
  const meter = {
    ...simulatedReadings(new SimulatedMeter(simulated, METER, 1), () => {}),
    confirm: async (text: string) => asked.push(text) < QUESTIONS[what],
  };
  const work = {
    bench,
    setup,
    meter,
    accuracy: METER,
    channels: [1],
    levels_dB: [-20],
    frequencies_Hz: [1000],
  };
  const rest = { tell: () => {}, progress: () => {}, signal: new AbortController().signal };
  const choice = { nominal_ohm: null, temperature_C: null, hot: true, inductance: false } as const;
  await bench.open();
  try {
    await calibrate(what, { ...work, ...rest }, { ...choice, voltsBy: 'meter', meteredResponse: false });
  } catch (error) {
    if (!(error instanceof NotConfirmed)) throw error;
  } finally {
    await bench.close();
  }
  return asked;
}

/** The bench, with a cable from each output to its own input where none should be. */
const joined = (bench: SimulatedBench): Bench =>
  new Proxy(bench, {
    get(target, name) {
      if (name === 'configure')
        return (setting: Parameters<Bench['configure']>[0]) =>
          target.configure({ ...setting, wiring: setting.wiring === 'open' ? 'loop' : setting.wiring! });
      const value: unknown = Reflect.get(target, name);
      return typeof value === 'function' ? value.bind(target) : value;
    },
  });

import { readFileSync } from 'node:fs';
import type { BenchSetup } from '../../src/bench/bench-setup.js';
import { SimulatedBench } from '../../src/bench/simulated/simulated-bench.js';
import { type MeterSpec, SimulatedMeter } from '../../src/bench/simulated/simulated-meter.js';
import { type TruthTwin, withTruth } from '../../src/bench/simulated/twin.js';
import { readTwin } from '../../src/bench/simulated/twin-file.js';
import type { ChannelChain } from '../../src/calibration/chain.js';
import { type FiledRecord, readRecord } from '../../src/calibration/record-file.js';
import { recordText } from '../../src/calibration/write-record.js';
import type { CalibrationWork } from '../../src/calibrator/calibration-work.js';
import { draftOf } from '../../src/calibrator/draft-of.js';
import type { CalibrationFinding } from '../../src/calibrator/finding.js';
import { simulatedReadings } from '../../src/calibrator/simulated-readings.js';
import { plainChain, plainLoad } from '../calibration/plain-chain.js';

const TWIN = new URL('../../benches/twins/ideal-40.yaml', import.meta.url);
/** Converters with some noise, behind a unit that does nothing to a tone but amplify it. */
const CONVERTERS = { outputNoise_V: 3e-6, inputNoise_V: 3e-6, bits: 24 } as const;

/** What every part is labelled: 2.83 V peak out and in, 25 to 1, a load of 8 ohm. */
export function labelled(channels: number, changes: Partial<ChannelChain> = {}): BenchSetup {
  return {
    name: 'Simulated stand',
    kind: 'simulated',
    interface: { kind: 'simulated', twinPath: TWIN.pathname, seed: 1 },
    rate_Hz: 48_000,
    channels: Array.from({ length: channels }, (_, i) =>
      plainChain(i + 1, {
        outputFullScale_Vpk: 2.83,
        inputFullScale_Vpk: 2.83,
        attenuator_ratio: 25,
        loads: [plainLoad(8)],
        ...changes,
      }),
    ),
    assumedGain_dB: 40,
    dcLimit_V: 2,
    floor: null,
    energises: false,
    clock: 'virtual',
    clockLimits_ppm: 0,
    day: '2026-03-01',
    path: 'bench.yaml',
    text: '',
    sha256: '0'.repeat(64),
  };
}

/** A simulated bench that is off its labels in a hidden way. */
export function hiddenBench(
  setup: BenchSetup,
  truths: ReadonlyMap<number, Partial<TruthTwin>>,
  about: Partial<TruthTwin> = {},
): SimulatedBench {
  const twin = readTwin(readFileSync(TWIN, 'utf8'), 'ideal-40.yaml');
  const noisy = { ...twin, converters: { ...twin.converters, ...CONVERTERS } };
  return new SimulatedBench(setup, withTruth(noisy, about, truths));
}

/** Work on it, with an instrument of this specification that is wrong in the way of its seed. */
export function workWith(
  bench: SimulatedBench,
  setup: BenchSetup,
  { spec, seed }: { readonly spec: MeterSpec; readonly seed: number },
  changes: Partial<CalibrationWork> = {},
): CalibrationWork {
  return {
    bench,
    setup,
    meter: simulatedReadings(new SimulatedMeter(bench, spec, seed), () => {}),
    accuracy: spec,
    channels: setup.channels.map(({ channel }) => channel),
    levels_dB: null,
    frequencies_Hz: null,
    tell: () => {},
    progress: () => {},
    signal: new AbortController().signal,
    ...changes,
  };
}

const ABOUT = {
  date: '2026-03-01',
  due: null,
  instrument: null,
  serial: null,
  by: null,
  temperature_C: null,
  bench: null,
};

/** A finding as a bench gets it back from its record. */
export function filed(found: CalibrationFinding): FiledRecord {
  return readRecord(recordText(draftOf(found, ABOUT)), 'record', 'record-2026-03-01');
}

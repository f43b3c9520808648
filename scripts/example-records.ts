import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { readBench } from '../src/bench/bench-file.js';
import type { BenchSetup } from '../src/bench/bench-setup.js';
import type { Files } from '../src/bench/files.js';
import { SimulatedBench } from '../src/bench/simulated/simulated-bench.js';
import { SimulatedMeter } from '../src/bench/simulated/simulated-meter.js';
import { type TruthTwin, withTruth } from '../src/bench/simulated/twin.js';
import { readTwin } from '../src/bench/simulated/twin-file.js';
import type { ChannelChain } from '../src/calibration/chain.js';
import { recordFileName, recordText } from '../src/calibration/write-record.js';
import { type Calibrated, calibrate } from '../src/calibrator/calibrate.js';
import { draftOf } from '../src/calibrator/draft-of.js';
import type { CalibrationFinding } from '../src/calibrator/finding.js';
import { simulatedReadings } from '../src/calibrator/simulated-readings.js';
import { familyOf } from '../src/cli/calibrate/record-place.js';
import { seededRandom } from '../src/signal/dither.js';
import { parseFullScale } from '../src/units/parse.js';

const ROOT = join(import.meta.dirname, '..');

/** An example bench whose records are made here. */
export interface Example {
  /** Name of the bench file without its ending, and of the folder that its records go to. */
  readonly bench: string;
  readonly channels: number;
  /** What is printed on the parts: what a bench file would say before anything was calibrated. */
  readonly label: {
    readonly fullScale: string;
    readonly ratio: number;
    readonly loads_ohm: readonly number[];
  };
  readonly seed: number;
}

export const EXAMPLES: readonly Example[] = [
  { bench: 'stiff-pair', channels: 2, label: { fullScale: '2 V rms', ratio: 25, loads_ohm: [8] }, seed: 11 },
  {
    bench: 'installed-eight',
    channels: 8,
    label: { fullScale: '2 V rms', ratio: 20, loads_ohm: [8, 4] },
    seed: 12,
  },
];

const DATE = '2026-02-10';
/** Most by which a part differs from its label. */
const SPREAD = { outputLevel: 0.005, inputLevel: 0.005, attenuator: 0.004, load: 0.003 };
/** Invented bench meters: volts to 0.05 % and 3 counts of 0.1 mV, four-wire ohms to 0.05 % and 2 counts of 1 mohm. */
const VOLTS = { percent: 0.05, counts: 3, resolution: 0.0001 };
const OHMS = { percent: 0.05, counts: 2, resolution: 0.001 };
/** What is read with a meter; the rest is done by loops. */
const INSTRUMENTS: Partial<Record<Calibrated, string>> = {
  output: 'invented true-rms meter',
  load: 'invented four-wire ohmmeter',
};
/** In the order in which each needs the ones before it. */
const ORDER: readonly Calibrated[] = ['output', 'input', 'attenuator', 'load', 'response', 'floor'];

interface Points {
  readonly levels_dB: readonly number[] | null;
  readonly frequencies_Hz: readonly number[] | null;
}

/** Records of a bench while they are made, by family: what is on the label at first. */
class Shelf implements Files {
  private readonly records = new Map<string, { readonly name: string; readonly text: string }>();

  constructor(example: Example) {
    const { channels, label } = example;
    const put = (family: string, text: string) => this.records.set(family, { name: `${family}.yaml`, text });
    put('floor', 'kind: floor\nvalue: 0.001 %\n');
    for (let channel = 1; channel <= channels; channel += 1) {
      put(`output-${channel}`, `kind: output\nchannel: ${channel}\nvalue: ${label.fullScale}\n`);
      put(`input-${channel}`, `kind: input\nchannel: ${channel}\nvalue: ${label.fullScale}\n`);
      put(`attenuator-${channel}`, `kind: attenuator\nchannel: ${channel}\nvalue: ${label.ratio}\n`);
      put(
        `response-${channel}`,
        `kind: response\nchannel: ${channel}\npoints: [{frequency: 20 Hz, level: 0 dB, uncertainty: 1 dB}, {frequency: 20 kHz, level: 0 dB, uncertainty: 1 dB}]\n`,
      );
      for (const nominal of label.loads_ohm)
        put(
          `load-${nominal}-${channel}`,
          `kind: load\nchannel: ${channel}\nnominal: ${nominal} ohm\nvalue: ${nominal} ohm\n`,
        );
    }
  }

  keep(family: string, text: string): void {
    this.records.set(family, { name: recordFileName(family, DATE, []), text });
  }

  exists(path: string): boolean {
    return path.endsWith('.yaml') && this.find(path) === null ? path.includes('twins') : true;
  }

  read(path: string): string | Uint8Array {
    return this.find(path) ?? readFileSync(path);
  }

  list(): readonly string[] {
    return [...this.records.values()].map(({ name }) => name);
  }

  /** Texts by name of the file. */
  made(): Map<string, string> {
    return new Map([...this.records.values()].map(({ name, text }) => [name, text]));
  }

  private find(path: string): string | null {
    const name = path.split(/[\\/]/).at(-1);
    return [...this.records.values()].find((record) => record.name === name)?.text ?? null;
  }
}

/**
 * Calibrates an example bench as a person would, every part off its label by a hidden amount, and gives the records: texts
 * by name of the file. The same every time.
 *
 * @param kinds what to calibrate; the rest stays as on the label, under an undated name
 * @param only fewer points for a floor or a response
 */
export async function exampleRecords(
  example: Example,
  kinds: readonly Calibrated[] = ORDER,
  only: Partial<Points> = {},
): Promise<Map<string, string>> {
  const path = join(ROOT, 'benches', `${example.bench}.yaml`);
  const source = readFileSync(path);
  const shelf = new Shelf(example);
  const hidden = hiddenTruth(example);
  for (const what of ORDER.filter((kind) => kinds.includes(kind))) {
    // What the bench believes changes as records come in; the truth is relative to what it believed at first.
    const label = readBench(source, path, new Shelf(example), DATE);
    const now = readBench(source, path, shelf, DATE);
    for (const found of await calibrated(what, label, now, { hidden, seed: example.seed, only })) {
      const draft = draftOf(found, {
        date: DATE,
        due: null,
        instrument: INSTRUMENTS[what] ?? null,
        serial: null,
        by: 'example operator',
        temperature_C: what === 'load' ? null : 25,
        bench: label.name,
      });
      shelf.keep(familyOf(found), recordText(draft));
    }
  }
  return shelf.made();
}

/**
 * How far an example bench is off what its records say: the `truth` of its twin, by channel, as shares. Of several loads it is
 * the mean.
 */
export function residualTruth(
  example: Example,
  records: ReadonlyMap<number, RecordedChannel>,
): Map<number, Levels> {
  const hidden = hiddenTruth(example);
  const label_Vpk = parseFullScale(example.label.fullScale);
  const { ratio, loads_ohm } = example.label;
  return new Map(
    [...hidden].map(([channel, off]) => {
      const { outputFullScale_Vpk, inputFullScale_Vpk, attenuator_ratio, loads } = records.get(channel)!;
      const ohms = loads_ohm.map((nominal, i) => (nominal * (1 + off.load)) / loads[i]!.measured_ohm - 1);
      return [
        channel,
        {
          outputLevel: (label_Vpk * (1 + off.outputLevel)) / outputFullScale_Vpk - 1,
          inputLevel: inputFullScale_Vpk / (label_Vpk / (1 + off.inputLevel)) - 1,
          attenuator: (ratio * (1 + off.attenuator)) / attenuator_ratio - 1,
          load: ohms.reduce((total, one) => total + one, 0) / ohms.length,
        },
      ];
    }),
  );
}

type RecordedChannel = Pick<
  ChannelChain,
  'outputFullScale_Vpk' | 'inputFullScale_Vpk' | 'attenuator_ratio' | 'loads'
>;
type Levels = Pick<TruthTwin, 'outputLevel' | 'inputLevel' | 'attenuator' | 'load'>;

function hiddenTruth({ channels, seed }: Example): ReadonlyMap<number, Levels> {
  const random = seededRandom(seed);
  const within = (most: number) => most * (2 * random() - 1);
  return new Map(
    Array.from({ length: channels }, (_, i) => [
      i + 1,
      {
        outputLevel: within(SPREAD.outputLevel),
        inputLevel: within(SPREAD.inputLevel),
        attenuator: within(SPREAD.attenuator),
        load: within(SPREAD.load),
      },
    ]),
  );
}

interface Circumstances {
  readonly hidden: ReadonlyMap<number, Partial<TruthTwin>>;
  readonly seed: number;
  readonly only: Partial<Points>;
}

async function calibrated(
  what: Calibrated,
  label: BenchSetup,
  now: BenchSetup,
  { hidden, seed, only }: Circumstances,
): Promise<CalibrationFinding[]> {
  if (label.interface.kind !== 'simulated') throw new Error(`${label.name} is no simulated bench`);
  const { twinPath } = label.interface;
  const twin = withTruth(readTwin(readFileSync(twinPath, 'utf8'), twinPath), {}, hidden);
  const bench = new SimulatedBench(label, twin);
  const accuracy = what === 'load' ? OHMS : VOLTS;
  const meter = new SimulatedMeter(bench, accuracy, seed);
  await bench.open();
  try {
    return await calibrate(
      what,
      {
        bench,
        setup: now,
        meter: simulatedReadings(meter, () => {}),
        accuracy,
        channels: now.channels.map(({ channel }) => channel),
        levels_dB: only.levels_dB ?? null,
        frequencies_Hz: only.frequencies_Hz ?? null,
        tell: () => {},
        progress: () => {},
        signal: new AbortController().signal,
      },
      {
        nominal_ohm: null,
        temperature_C: null,
        hot: false,
        inductance: false,
        voltsBy: 'output',
        meteredResponse: false,
      },
    );
  } finally {
    await bench.close();
  }
}

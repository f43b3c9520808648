import type { BenchReading, KeyPath } from './bench-reading.js';
import type { SensorKeys } from './bench-schema.js';
import type { SensorSetup, SensorSource } from './sensor.js';

/** Temperatures follow within minutes; what fails faster than this no sensor catches: common practice, no source. */
const EVERY_s = 10;
const TIMEOUT_s = 5;
/** What a twin can be asked for, with the unit of the answer. */
const TWIN_SOURCES = 'heatsink, mains or load and a channel, as in load 1';

/** What the sensors may refer to. */
export interface SensedBench {
  readonly simulated: boolean;
  readonly channels: readonly number[];
}

/** The sensors of a bench file; faults are noted in `reading`. */
export function sensorList(
  reading: BenchReading,
  written: readonly SensorKeys[],
  bench: SensedBench,
): SensorSetup[] {
  return written.flatMap((keys, i) => {
    const place: KeyPath = ['probes', i];
    if (written.findIndex(({ name }) => name === keys.name) < i)
      reading.complain([...place, 'name'], `a second sensor '${keys.name}'`, 'give each a name of its own');
    const source = sourceOf(reading, keys, bench, place);
    if (!source) return [];
    const unit = unitOf(reading, keys, source, place);
    const every_s = keys.every ?? EVERY_s;
    const timeout_s = keys.timeout ?? Math.min(TIMEOUT_s, every_s);
    if (timeout_s > every_s)
      reading.complain(
        [...place, 'timeout'],
        `a timeout of ${timeout_s} s is longer than the ${every_s} s between two samples`,
        'one sample must have ended before the next begins',
      );
    const high = limitOf(reading, keys.high, unit, [...place, 'high']);
    const low = limitOf(reading, keys.low, unit, [...place, 'low']);
    if (high !== null && low !== null && low >= high)
      reading.complain([...place, 'low'], `low (${low}) is not below high (${high})`, 'swap or correct them');
    const needed = keys.needed !== 'no' && keys.needed !== false;
    return [{ name: keys.name, unit, every_s, timeout_s, high, low, needed, source }];
  });
}

function sourceOf(
  reading: BenchReading,
  { argv, simulated }: SensorKeys,
  bench: SensedBench,
  place: KeyPath,
): SensorSource | null {
  if ((argv === undefined) === (simulated === undefined)) {
    const what = argv ? "both 'argv' and 'simulated' are given" : "neither 'argv' nor 'simulated' is given";
    reading.complain(
      place,
      what,
      "give 'argv', a program that prints one number; only twins have 'simulated'",
    );
    return null;
  }
  if (argv) return { kind: 'program', argv };
  const at = [...place, 'simulated'];
  if (!bench.simulated) {
    reading.complain(
      at,
      'this bench is not simulated',
      "name a program with 'argv' that reads the real thing",
    );
    return null;
  }
  const [, word, number] = /^(heatsink|mains|load) ?(\d{1,2})?$/.exec(simulated!) ?? [];
  if (word === 'heatsink' || word === 'mains') if (!number) return { kind: word };
  const channel = Number(number);
  if (word === 'load' && bench.channels.includes(channel)) return { kind: 'load', channel };
  const mend = word === 'load' ? `channels here: ${bench.channels.join(', ')}` : `known: ${TWIN_SOURCES}`;
  reading.complain(at, `a twin has no '${simulated}'`, mend);
  return null;
}

function unitOf(reading: BenchReading, { unit }: SensorKeys, source: SensorSource, place: KeyPath): string {
  if (source.kind === 'program') {
    if (unit === undefined)
      reading.complain(place, "'unit' is missing", 'say what the number stands for, as in °C, V or rpm');
    return unit ?? '';
  }
  const own = source.kind === 'mains' ? 'V' : 'degC';
  if (unit !== undefined && unit !== own)
    reading.complain([...place, 'unit'], `the twin answers in ${own}`, 'leave the unit out');
  return own;
}

/** A limit as a number in the sensor's unit. */
function limitOf(
  reading: BenchReading,
  written: number | string | undefined,
  unit: string,
  place: KeyPath,
): number | null {
  if (written === undefined) return null;
  if (typeof written === 'number') return written;
  const [, digits, tail] = /^\s*([+-]?\d+(?:\.\d+)?)\s*(.*?)\s*$/.exec(written) ?? [];
  if (digits !== undefined && (tail === unit || tail === '')) return Number(digits);
  reading.complain(place, `'${written}' is not a number of ${unit}`, `write it as in 85 ${unit}`);
  return null;
}

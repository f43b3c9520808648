import { createHash } from 'node:crypto';
import type { CalibrationRecord } from '../calibration/chain.js';
import type { Floor } from '../calibration/floor.js';
import { DocumentError } from '../schema/document-error.js';
import { isYes } from '../schema/fields.js';
import { salvage } from '../schema/parse-yaml.js';
import { YamlDocument } from '../schema/yaml-document.js';
import { BenchReading } from './bench-reading.js';
import { benchSchema } from './bench-schema.js';
import type { BenchSetup } from './bench-setup.js';
import { channelChains } from './channel-chain.js';
import { type Files, onDisk } from './files.js';
import { kindOf } from './kinds.js';
import { sensorList } from './sensor-list.js';
import { statedSupply } from './stated-supply.js';

/** More gain than any amplifier for loudspeakers has: common practice, no source. */
const ASSUMED_GAIN_dB = 40;
/** Far above any healthy offset, far below what warms a voice coil: common practice, no source. */
const DC_LIMIT_V = 2;
/** A sound path loses nothing in a night, a busy computer a few stretches: common practice, no source. */
export const DROPOUT_LIMIT = 10;

/**
 * Reads a bench file, and the calibration records that it names.
 *
 * @param source the text, or its bytes
 * @param path of the file: what it names is looked for beside it
 * @param day year-month-day against which calibrations are due; today when left out
 * @param plays false: it is read to look at a run that was made on it, and is not held to what a bench must be to be played on
 * @throws DocumentError listing every fault with line and column
 */
export function readBench(
  source: string | Uint8Array,
  path: string,
  files: Files = onDisk,
  day: string = today(),
  plays = true,
): BenchSetup {
  const document = new YamlDocument(source, path);
  const { value, faults } = salvage(document, document.data, benchSchema, []);
  const keys = value.interface;
  const kind = keys && kindOf(keys.kind);
  // A bench whose interface could not be read is treated as one that can do harm.
  const energises = kind?.energises(keys!) ?? true;
  const reading = new BenchReading(document, path, files, energises, day, plays);
  reading.faults.push(...faults);
  const sharedInputs = isYes(value.shared_inputs);
  const channels = value.channels ? channelChains(reading, value.channels, sharedInputs) : [];
  const link = kind?.read(reading, keys!, channels);
  const { floor, floorRecord } = floorOf(reading, value.floor);
  const sensors = sensorList(reading, value.probes ?? [], {
    simulated: kind?.computed ?? false,
    channels: channels.map(({ channel }) => channel),
  });
  const supply = statedSupply(reading, value.unit_supply);
  if (reading.faults.length > 0 || !kind || !keys || !link) throw new DocumentError(path, reading.faults);
  return {
    name: value.name!,
    kind: link.kind,
    interface: link,
    energises,
    practice: kind.practice(keys),
    unitSupply: supply,
    clock: kind.clock(keys),
    rate_Hz: keys.rate,
    channels,
    assumedGain_dB: value.assumed_gain ?? ASSUMED_GAIN_dB,
    dcLimit_V: value.dc_limit ?? DC_LIMIT_V,
    sensors,
    energyLimit_J: value.energy_limit ?? null,
    timeLimit_s: value.time_limit ?? null,
    dropoutLimit: value.dropout_limit ?? DROPOUT_LIMIT,
    floor,
    floorRecord,
    clockLimits_ppm: keys.clock ?? null,
    day,
    path,
    text: document.text,
    sha256: createHash('sha256').update(document.text).digest('hex'),
  };
}

function floorOf(
  reading: BenchReading,
  written: number | { record: string } | undefined,
): { floor: Floor | null; floorRecord: CalibrationRecord | null } {
  if (written === undefined) return { floor: null, floorRecord: null };
  if (typeof written === 'number')
    return { floor: { kind: 'stated', thdn_percent: written }, floorRecord: null };
  const filed = reading.record(written.record, { kind: 'floor' }, ['floor', 'record']);
  return { floor: filed?.floor ?? null, floorRecord: filed?.record ?? null };
}

/** Today where the bench stands, year-month-day. */
function today(): string {
  const now = new Date();
  const two = (part: number) => String(part).padStart(2, '0');
  return `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`;
}

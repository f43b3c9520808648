import { createHash } from 'node:crypto';
import { dirname, join, resolve } from 'node:path';
import type { CalibrationRecord, ChannelChain } from '../calibration/chain.js';
import type { Floor } from '../calibration/floor.js';
import { DocumentError } from '../schema/document-error.js';
import { salvage } from '../schema/salvage.js';
import { YamlDocument } from '../schema/yaml-document.js';
import { BenchReading } from './bench-reading.js';
import { benchSchema, type InterfaceKeys } from './bench-schema.js';
import type { BenchSetup } from './bench-setup.js';
import { channelChains } from './channel-chain.js';
import { type Files, onDisk } from './files.js';
import { PACKAGE_ROOT } from './package-root.js';
import { probeList } from './probe-list.js';

const SHIPPED_TWINS = join(PACKAGE_ROOT, 'benches', 'twins');

/** More gain than any amplifier for loudspeakers has: common practice, no source. */
const ASSUMED_GAIN_dB = 40;
/** Far above any healthy offset, far below what warms a voice coil: common practice, no source. */
const DC_LIMIT_V = 2;
const COMMAND_TIMEOUT_s = 60;
/** A sound path loses nothing in a night, a busy computer a few stretches: common practice, no source. */
export const DROPOUT_LIMIT = 10;

/**
 * Reads a bench file, and the calibration records that it names.
 *
 * @param source the text, or its bytes
 * @param path of the file: what it names is looked for beside it
 * @param day year-month-day against which calibrations are due; today when left out
 * @throws DocumentError listing every fault with line and column
 */
export function readBench(
  source: string | Uint8Array,
  path: string,
  files: Files = onDisk,
  day: string = today(),
): BenchSetup {
  const document = new YamlDocument(source, path);
  const { value, faults } = salvage(document, document.data, benchSchema, []);
  const reading = new BenchReading(document, path, files, energises(value.interface), day);
  reading.faults.push(...faults);
  const sharedInputs = value.shared_inputs === 'yes' || value.shared_inputs === true;
  const channels = value.channels ? channelChains(reading, value.channels, sharedInputs) : [];
  const link = value.interface ? interfaceOf(reading, value.interface, channels) : null;
  const { floor, floorRecord } = floorOf(reading, value.floor);
  const probes = probeList(reading, value.probes ?? [], {
    simulated: value.interface?.kind === 'simulated',
    channels: channels.map(({ channel }) => channel),
  });
  if (reading.faults.length > 0 || !link || !value.interface) throw new DocumentError(path, reading.faults);
  return {
    name: value.name!,
    kind: link.kind,
    interface: link,
    rate_Hz: value.interface.rate,
    channels,
    assumedGain_dB: value.assumed_gain ?? ASSUMED_GAIN_dB,
    dcLimit_V: value.dc_limit ?? DC_LIMIT_V,
    probes,
    energyLimit_J: value.energy_limit ?? null,
    timeLimit_s: value.time_limit ?? null,
    dropoutLimit: value.dropout_limit ?? DROPOUT_LIMIT,
    floor,
    floorRecord,
    clockLimits_ppm: value.interface.clock ?? null,
    day,
    path,
    text: document.text,
    sha256: createHash('sha256').update(document.text).digest('hex'),
  };
}

function drivesHardware(keys: InterfaceKeys & { kind: 'command' }): boolean {
  return keys.hardware === 'yes' || keys.hardware === true;
}

/** A bench whose interface could not be read is treated as one that can do harm. */
function energises(keys: InterfaceKeys | undefined): boolean {
  if (!keys) return true;
  return keys.kind === 'audio' || (keys.kind === 'command' && drivesHardware(keys));
}

function interfaceOf(
  reading: BenchReading,
  keys: InterfaceKeys,
  channels: readonly ChannelChain[],
): BenchSetup['interface'] | null {
  switch (keys.kind) {
    case 'simulated': {
      const twinPath = twinFile(reading, keys.twin);
      if (twinPath === null) return null;
      return { kind: 'simulated', twinPath, seed: keys.seed ?? 1, ...hashOf(reading, twinPath) };
    }
    case 'audio':
      return {
        kind: 'audio',
        playDevice: keys.play,
        captureDevice: keys.capture,
        bits: keys.bits ?? 24,
        playChannels: opened(reading, 'output', channels, keys.play_channels),
        captureChannels: opened(reading, 'input', channels, keys.capture_channels),
      };
    case 'command':
      return {
        kind: 'command',
        argv: keys.argv,
        timeout_s: keys.timeout ?? COMMAND_TIMEOUT_s,
        energises: drivesHardware(keys),
      };
  }
}

/** How many interface channels to open: as many as are used, or as the file says. */
function opened(
  reading: BenchReading,
  side: 'output' | 'input',
  channels: readonly ChannelChain[],
  written: number | undefined,
): number {
  const taps = side === 'input' ? channels.map(({ current }) => current?.input ?? 1) : [];
  const highest = Math.max(1, ...channels.map((chain) => chain[side]), ...taps);
  const key = side === 'output' ? 'play_channels' : 'capture_channels';
  if (written !== undefined && written < highest)
    reading.complain(['interface', key], `${written} is too few`, `${side} ${highest} is used by a channel`);
  return written ?? highest;
}

/** Path of a twin: as named beside the bench file, in `twins` beside it, or among those that ship. */
function twinFile(reading: BenchReading, twin: string): string | null {
  const here = dirname(reading.path);
  const candidates = [
    resolve(here, twin),
    resolve(here, 'twins', `${twin}.yaml`),
    resolve(here, `${twin}.yaml`),
    join(SHIPPED_TWINS, `${twin}.yaml`),
  ].filter((candidate) => /\.ya?ml$/.test(candidate));
  const found = candidates.find((candidate) => reading.files.exists(candidate));
  if (found) return found;
  reading.complain(
    ['interface', 'twin'],
    `there is no twin '${twin}'`,
    `looked for ${candidates.join(', ')}`,
  );
  return null;
}

function hashOf({ files }: BenchReading, path: string): { readonly twinSha256?: string } {
  try {
    return { twinSha256: createHash('sha256').update(files.read(path)).digest('hex') };
  } catch {
    return {};
  }
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

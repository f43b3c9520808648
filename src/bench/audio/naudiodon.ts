import { createRequire } from 'node:module';
import type { Duplex, Readable, Writable } from 'node:stream';
import type { AudioDevice } from './protocol.js';

/** One direction of a stream, as naudiodon wants it spelled (`highwaterMark` with a small w). */
export interface NativeOptions {
  readonly deviceId: number;
  readonly channelCount: number;
  readonly sampleFormat: 24 | 32;
  readonly sampleRate: number;
  readonly framesPerBuffer: number;
  readonly maxQueue: number;
  readonly highwaterMark: number;
  readonly closeOnError: boolean;
}

interface NativeDevice {
  readonly id: number;
  readonly name: string;
  readonly maxInputChannels: number;
  readonly maxOutputChannels: number;
  readonly defaultSampleRate: number;
  readonly hostAPIName: string;
}

interface Startable {
  start(): void;
}

/** The part of naudiodon that is used here. */
export interface Naudiodon {
  getDevices(): NativeDevice[];
  AudioIO(options: { inOptions: NativeOptions; outOptions: NativeOptions }): Duplex & Startable;
  AudioIO(options: { inOptions: NativeOptions }): Readable & Startable;
  AudioIO(options: { outOptions: NativeOptions }): Writable & Startable;
}

/**
 * Loads naudiodon, which prints to stdout and may crash: only the host process calls this.
 *
 * @throws what `require` throws when it is not installed or was not built
 */
export function loadNaudiodon(): Naudiodon {
  return createRequire(import.meta.url)('naudiodon') as Naudiodon;
}

/** The devices as naudiodon sees them now. */
export const devicesOf = (naudiodon: Naudiodon): (AudioDevice & { readonly id: number })[] =>
  naudiodon.getDevices().map((device) => ({
    id: device.id,
    name: device.name,
    system: device.hostAPIName,
    inputs: device.maxInputChannels,
    outputs: device.maxOutputChannels,
    defaultRate_Hz: device.defaultSampleRate,
  }));

import type { Readable, Writable } from 'node:stream';
import { PauseWatch } from '../pause-watch.js';
import { chooseDevice, HostRefusal } from './device-choice.js';
import { devicesOf, type NativeOptions, type Naudiodon } from './naudiodon.js';
import { frameBytes } from './pcm.js';
import { Playout } from './playout.js';
import type { FromHost, StreamCounts, StreamRequest } from './protocol.js';
import type { StreamGeometry } from './stream-geometry.js';

/** Captured frames that may wait for the parent before it counts as lost. */
const BACKLOG_S = 30;
/** Chunks of captured samples that naudiodon may hold: it blocks the sound callback when it has no room. */
const CAPTURE_QUEUE = 1000;

/** As long as the parent waits for captured samples before it ends this process. */
const LONGEST_PAUSE_MS = 200;
const LOOK_MS = 20;

interface Opened {
  readonly play: Writable;
  readonly capture: Readable;
  start(): void;
}

/**
 * The sound stream inside the host process. It runs from opening to closing without a break and plays silence
 * between plays: an empty queue would block naudiodon's callback, and opening anew would change the latency.
 */
export class HostStream {
  readonly #request: StreamRequest;
  readonly #io: Opened;
  readonly #playout: Playout;
  readonly #toParent: Writable;
  readonly #tell: (message: FromHost) => void;
  readonly #vanish: () => void;
  #written = 0;
  #capturedBytes = 0;
  #wake: () => void = () => {};
  #closing = false;
  readonly #pauses: PauseWatch;
  /** Silent frames since the last one of a play. */
  #silentFrames = Number.POSITIVE_INFINITY;

  /**
   * @param toParent pipe for captured frames
   * @param vanish ends this process at once
   * @throws HostRefusal when a device is missing or does not open
   */
  constructor(
    naudiodon: Naudiodon,
    request: StreamRequest,
    toParent: Writable,
    tell: (message: FromHost) => void,
    vanish: () => void,
    pauses = new PauseWatch(),
  ) {
    const { playChannels, bits, geometry } = request;
    this.#request = request;
    this.#toParent = toParent;
    this.#tell = tell;
    this.#vanish = vanish;
    this.#pauses = pauses;
    this.#playout = new Playout({ width: playChannels, bits, geometry });
    this.#io = openStreams(naudiodon, request);
  }

  /** Starts silence and capture; resolves when the stream has been closed. */
  async run(): Promise<void> {
    this.#io.capture.on('data', (bytes: Buffer) => this.#forward(bytes));
    this.#pauses.look();
    // A timer that is overdue comes before anything that is to be played.
    const looking = setInterval(() => this.#lookForPause(), LOOK_MS);
    const pumping = this.#pump();
    this.#io.start();
    await pumping;
    clearInterval(looking);
    await new Promise<void>((resolve) => {
      this.#io.play.once('finished', resolve);
      this.#io.play.end();
    });
  }

  /** Takes frames to play from the parent. */
  push(bytes: Buffer): void {
    this.#playout.push(bytes);
    this.#wake();
  }

  /** Ramps down and drops every frame of the parent up to number `sent`. */
  hush(sent: number): void {
    this.#playout.hush(sent);
    if (!this.#playout.playing) this.#tell({ kind: 'silent', ...this.#counts });
    this.#wake();
  }

  /** Ramps down, lets the ramp out and ends. */
  close(): void {
    this.#closing = true;
    this.hush(Number.POSITIVE_INFINITY);
  }

  get #counts(): StreamCounts {
    const size = frameBytes(this.#request.captureChannels, this.#request.bits);
    return { written: this.#written, captured: Math.floor(this.#capturedBytes / size) };
  }

  #forward(bytes: Buffer): void {
    const { rate_Hz, captureChannels, bits } = this.#request;
    this.#capturedBytes += bytes.length;
    if (this.#closing) return;
    // A write to a parent that has gone fails on its own event; one that never reads is as good as gone.
    if (this.#toParent.writable) this.#toParent.write(bytes);
    if (this.#toParent.writableLength > BACKLOG_S * rate_Hz * frameBytes(captureChannels, bits)) this.close();
  }

  async #pump(): Promise<void> {
    const { chunkFrames } = this.#request.geometry;
    const flush = flushFrames(this.#request.geometry);
    while (!this.#closing || this.#silentFrames < flush) {
      this.#lookForPause();
      const before = this.#playout.playing;
      const chunk = this.#playout.next() ?? (await this.#late());
      const now = this.#playout.playing;
      if (now && !before) this.#tell({ kind: 'started', ...this.#counts });
      await new Promise<void>((resolve) => this.#io.play.write(chunk, () => resolve()));
      this.#written += chunkFrames;
      this.#silentFrames = before || now ? 0 : this.#silentFrames + chunkFrames;
      this.#tell({ kind: 'progress', accepted: this.#playout.accepted, ...this.#counts });
      if (before && !now) this.#tell({ kind: 'silent', ...this.#counts });
    }
  }

  /**
   * What waits in naudiodon's queue cannot be taken back. After a pause it would sound at its full level with nobody sure of
   * anything: only the end of this process silences it.
   */
  #lookForPause(): void {
    const { whole_ms: pause_ms } = this.#pauses.look();
    const sounding = this.#playout.playing || this.#silentFrames < flushFrames(this.#request.geometry);
    if (pause_ms <= LONGEST_PAUSE_MS || !sounding) return;
    this.#tell({ kind: 'stood-still', pause_ms });
    this.#vanish();
  }

  /** Waits for frames of a running play for as long as the queue lasts, then gives it up. */
  async #late(): Promise<Buffer> {
    const { queueChunks, chunkFrames } = this.#request.geometry;
    const until_ms = performance.now() + ((queueChunks - 0.5) * chunkFrames * 1000) / this.#request.rate_Hz;
    for (;;) {
      const left_ms = until_ms - performance.now();
      if (left_ms <= 0) {
        this.#playout.starve();
        this.#tell({ kind: 'starved' });
      } else {
        await this.#arrival(left_ms);
      }
      const chunk = this.#playout.next();
      if (chunk !== null) return chunk;
    }
  }

  #arrival(longest_ms: number): Promise<void> {
    return new Promise((resolve) => {
      const timer = setTimeout(resolve, longest_ms);
      this.#wake = () => {
        clearTimeout(timer);
        resolve();
      };
    });
  }
}

/** Once a ramp has been written, this much silence pushes it out of every queue on this side of the driver. */
const flushFrames = ({ queueChunks, chunkFrames, bufferFrames }: StreamGeometry): number =>
  queueChunks * chunkFrames + 2 * bufferFrames;

function openStreams(naudiodon: Naudiodon, request: StreamRequest): Opened {
  const { playDevice, captureDevice, playChannels, captureChannels, rate_Hz } = request;
  const devices = devicesOf(naudiodon);
  const outDevice = chooseDevice(devices, playDevice, 'play', playChannels);
  const inDevice = chooseDevice(devices, captureDevice, 'capture', captureChannels);
  const outOptions = options(request, outDevice.id, playChannels, request.geometry.queueChunks);
  const inOptions = options(request, inDevice.id, captureChannels, CAPTURE_QUEUE);
  try {
    if (playDevice === captureDevice) {
      const io = naudiodon.AudioIO({ inOptions, outOptions });
      return { play: io, capture: io, start: () => io.start() };
    }
    const play = naudiodon.AudioIO({ outOptions });
    const capture = naudiodon.AudioIO({ inOptions });
    const start = () => {
      capture.start();
      play.start();
    };
    return { play, capture, start };
  } catch (error) {
    throw new HostRefusal('DEVICE_REFUSED', {
      what: `the sound device refused ${rate_Hz} Hz, ${request.bits} bit, ${playChannels} out, ${captureChannels} in: ${(error as Error).message}`,
      where: playDevice === captureDevice ? `"${playDevice}"` : `"${playDevice}" and "${captureDevice}"`,
      mend: 'Ask for what the device can do, and see that no other program holds it',
    });
  }
}

function options(
  request: StreamRequest,
  deviceId: number,
  channels: number,
  maxQueue: number,
): NativeOptions {
  const { rate_Hz, bits, geometry } = request;
  return {
    deviceId,
    channelCount: channels,
    sampleFormat: bits,
    sampleRate: rate_Hz,
    framesPerBuffer: geometry.bufferFrames,
    maxQueue,
    highwaterMark: geometry.bufferFrames * frameBytes(channels, bits),
    closeOnError: false,
  };
}

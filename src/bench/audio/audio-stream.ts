import type { BenchFault } from '../../errors/ohmest-error.js';
import { BenchClosed, SamplesLost, StoodStill } from '../bench-errors.js';
import { PauseWatch, stoodStill } from '../pause-watch.js';
import { ChildDied, DeviceStalled, hostFault } from './audio-faults.js';
import { HostProcess } from './host-process.js';
import { FrameReader, packFrames } from './pcm.js';
import type { FromHost, StreamCounts, StreamRequest } from './protocol.js';
import { drainFrames } from './stream-geometry.js';

/** Longest time without captured samples. Some systems take a while to begin. */
const STALL_MS = 200;
const FIRST_SAMPLES_MS = 5000;
/** Longest time for the host to ramp down, and to end. */
const HUSH_MS = 1000;
const CLOSING_MS = 2000;

/** Who was late: the sound device and its driver, or this program. */
export type Loss = 'device' | 'program';

/** Which interface channels (from 0) the bench's channels use. */
export interface ChannelMap {
  readonly outputs: readonly number[];
  readonly inputs: readonly number[];
}

/** Who plays: gives samples for every bench channel and gets what was captured. */
export interface StreamUser {
  /** The next `frames` samples for each bench channel, on the grid of the converter. */
  render(frames: number): readonly Float64Array[];
  /** Captured samples by bench channel; `at` counts frames since the stream was opened. */
  captured(at: number, channels: readonly Float64Array[]): void;
  /** The first frame that was rendered is number `counts.written` of all frames played on this stream. */
  started(counts: StreamCounts): void;
  /** The sound library tells of lost samples. */
  trouble(text: string): void;
  /** The play cannot go on: the source threw, or the stream has failed. */
  failed(reason: unknown): void;
}

/**
 * An open sound stream as the bench sees it: keeps the host process fed within its credit, counts what comes back
 * and watches for everything that can go wrong on the way. After a fault it is silent and of no more use.
 */
export class AudioStream {
  readonly #request: StreamRequest;
  readonly #map: ChannelMap;
  readonly #host: HostProcess;
  readonly #reader: FrameReader;
  #user: StreamUser | null = null;
  #sent = 0;
  #accepted = 0;
  #captured = 0;
  #silent: StreamCounts | null = null;
  #fault: BenchFault | null = null;
  #closing = false;
  #lastLoss: Loss | null = null;
  #watch: NodeJS.Timeout | undefined;
  #heard_ms = performance.now();
  readonly #pauses = new PauseWatch();
  /** Things to look at again whenever something has come in. */
  readonly #waiting = new Set<() => void>();

  private constructor(request: StreamRequest, map: ChannelMap) {
    this.#request = request;
    this.#map = map;
    this.#reader = new FrameReader(request.captureChannels, request.bits, map.inputs);
    this.#host = new HostProcess({
      message: (message) => this.#message(message),
      line: (text) => this.#line(text),
      ended: (how) => {
        if (!this.#closing)
          this.#fail(new ChildDied({ what: `the process that holds the sound device ${how}` }));
        this.#stir();
      },
    });
    this.#host.capturePipe.on('data', (bytes: Buffer) => this.#take(bytes));
    this.#host.tell({ kind: 'open', stream: request });
  }

  /**
   * Opens the devices and waits for the first captured samples.
   *
   * @throws AudioUnavailable, DeviceNotFound, DeviceRefused, DeviceStalled, ChildDied
   */
  static async open(request: StreamRequest, map: ChannelMap): Promise<AudioStream> {
    const stream = new AudioStream(request, map);
    try {
      const begun = await stream.#until(() => stream.#captured > 0, FIRST_SAMPLES_MS);
      if (!begun) throw stream.#stalled(FIRST_SAMPLES_MS);
    } catch (error) {
      stream.#closing = true;
      stream.#host.kill();
      throw error;
    }
    stream.#watchOver();
    return stream;
  }

  /** What went wrong, if anything has. */
  get fault(): BenchFault | null {
    return this.#fault;
  }

  /** Why samples were last lost in a play; null: none were. */
  get lastLoss(): Loss | null {
    return this.#lastLoss;
  }

  get hostPid(): number {
    return this.#host.pid;
  }

  /** Begins a play. Samples are asked for at once and whenever the host has taken some. */
  play(user: StreamUser): void {
    // What failed while an earlier play was ended would never answer this one.
    if (this.#fault) {
      user.failed(this.#fault);
      return;
    }
    this.#user = user;
    this.#pauses.look();
    this.#feed();
  }

  /** Ends a play: ramps down and waits until the ramp has come out. A host that does not obey is ended. */
  async hush(): Promise<void> {
    this.#user = null;
    if (this.#fault) return;
    this.#silent = null;
    this.#host.tell({ kind: 'hush', sent: this.#sent });
    const drain = drainFrames(this.#request.geometry);
    const out = () => this.#silent !== null && this.#captured >= this.#silent.captured + drain;
    // A fault on the way down has silenced the output by itself and stands in `fault` for the next play.
    const obeyed = await this.#until(out, HUSH_MS).catch(() => true);
    if (!obeyed) this.#fail(this.#stalled(HUSH_MS));
  }

  /** Resolves never; rejects as soon as the stream has failed. */
  async failure(signal: AbortSignal): Promise<never> {
    return new Promise((_, reject) => {
      const look = () => this.#fault && reject(this.#fault);
      this.#waiting.add(look);
      signal.addEventListener('abort', () => this.#waiting.delete(look));
      look();
    });
  }

  /** Silence, then the end of the host. Safe at any time. */
  async close(): Promise<void> {
    this.#closing = true;
    this.#user?.failed(new BenchClosed());
    this.#user = null;
    clearInterval(this.#watch);
    this.#host.tell({ kind: 'close' });
    const timer = setTimeout(() => this.#host.kill(), CLOSING_MS);
    await this.#host.ended;
    clearTimeout(timer);
  }

  #message(message: FromHost): void {
    // What a pause of this program has led to must not be told in its place.
    this.#lookForPause();
    if (message.kind === 'progress') {
      this.#accepted = message.accepted;
      this.#feed();
    } else if (message.kind === 'started') this.#user?.started(message);
    else if (message.kind === 'silent') this.#silent = message;
    else if (message.kind === 'starved') {
      this.#lastLoss = 'program';
      this.#user?.failed(starved());
    } else if (message.kind === 'stood-still')
      this.#fail(new StoodStill('the sound process', message.pause_ms));
    else if (message.kind === 'failed') this.#fail(hostFault(message.code, message.explanation));
    this.#stir();
  }

  #line(text: string): void {
    const [, trouble] = /portAudio status - (.*)/.exec(text) ?? [];
    if (!trouble || !this.#user) return;
    this.#lastLoss = 'device';
    this.#user.trouble(trouble.trim());
  }

  #take(bytes: Buffer): void {
    this.#heard_ms = performance.now();
    const channels = this.#reader.read(bytes);
    const at = this.#captured;
    this.#captured += channels[0]!.length;
    if (this.#captured > at) this.#user?.captured(at, channels);
    this.#stir();
  }

  /** After a pause in which nobody watched, the tone must not go on as if nothing had been. */
  #lookForPause(): void {
    const pause = this.#pauses.look();
    if (this.#user && stoodStill(pause)) this.#fail(new StoodStill('this program', pause.whole_ms));
  }

  #feed(): void {
    this.#lookForPause();
    const { playChannels, bits, geometry } = this.#request;
    const { chunkFrames, creditFrames } = geometry;
    while (this.#user && this.#sent + chunkFrames - this.#accepted <= creditFrames) {
      const user = this.#user;
      try {
        const channels = user.render(chunkFrames);
        const columns = new Map(this.#map.outputs.map((output, i) => [output, channels[i]!]));
        this.#host.playPipe.write(packFrames(columns, chunkFrames, playChannels, bits));
        this.#sent += chunkFrames;
      } catch (error) {
        this.#user = null;
        user.failed(error);
      }
    }
  }

  #watchOver(): void {
    const silence_ms = () => performance.now() - this.#heard_ms;
    this.#watch = setInterval(() => {
      this.#lookForPause();
      if (silence_ms() < STALL_MS) return;
      // After a pause of this process samples may lie in the pipe: let them be read before judging.
      setImmediate(() => {
        if (silence_ms() >= STALL_MS && !this.#closing) this.#fail(this.#stalled(STALL_MS));
      });
    }, STALL_MS / 4);
  }

  #stalled(after_ms: number): InstanceType<typeof DeviceStalled> {
    return new DeviceStalled({
      what: `no sound came in from "${this.#request.captureDevice}" for ${after_ms} ms`,
      mend: 'See that the device is connected and running, at this rate, and that nothing else has suspended it',
    });
  }

  /** The stream is of no more use. Ending the host is the fastest silence there is. */
  #fail(fault: BenchFault): void {
    if (this.#fault) return;
    this.#fault = fault;
    clearInterval(this.#watch);
    this.#host.kill();
    this.#user?.failed(fault);
    this.#user = null;
    this.#stir();
  }

  #stir(): void {
    for (const look of this.#waiting) look();
  }

  /** True once `met` holds, false when it does not in time; rejects when the stream fails. */
  #until(met: () => boolean, longest_ms: number): Promise<boolean> {
    return new Promise((resolve, reject) => {
      const look = () => {
        if (!this.#fault && !met()) return;
        end();
        if (this.#fault) reject(this.#fault);
        else resolve(true);
      };
      const timer = setTimeout(() => {
        end();
        resolve(false);
      }, longest_ms);
      const end = () => {
        clearTimeout(timer);
        this.#waiting.delete(look);
      };
      this.#waiting.add(look);
      look();
    });
  }
}

function starved(): InstanceType<typeof SamplesLost> {
  return new SamplesLost({
    what: 'this program did not deliver samples in time, so the output was faded out',
    mend: 'Close other programs; the run may be repeated',
  });
}

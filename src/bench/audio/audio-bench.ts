import { setTimeout as delay, setImmediate as turn } from 'node:timers/promises';
import type { ChannelChain } from '../../calibration/chain.js';
import type { FlagCode } from '../../measure/flags.js';
import { seededRandom } from '../../signal/dither.js';
import type { Bench, BenchSetting, SignalSource, SoundBlock } from '../bench.js';
import { BenchBusy, BenchClosed, SamplesLost } from '../bench-errors.js';
import type { AudioInterface, BenchSetup } from '../bench-setup.js';
import { sortColumns } from '../captured-columns.js';
import { KeepAwake } from '../keep-awake.js';
import { AudioChannelMap, AudioRate, ChildDied, DeviceStalled } from './audio-faults.js';
import { AudioStream, type ChannelMap } from './audio-stream.js';
import { markerPeak } from './marker.js';
import { type Alignment, Play } from './play.js';
import { drainFrames, RATES_HZ, type Sturdiness, streamGeometry } from './stream-geometry.js';

/** Longest wait that a timer of Node can hold is 24.8 days; this is one day. */
const LONGEST_NAP_MS = 86_400_000;
const DITHER_SEED = 1;
/** So often a play may begin anew before its first sample of the source. */
const START_TRIES = 3;

/**
 * A bench on a real sound interface. The devices are open from `open` to `close` and play silence between plays;
 * each play begins with a quiet marker by which captured frames are matched to played ones.
 *
 * One device that plays and captures is opened as one stream, whose two directions share a clock: use that where
 * possible. Two devices are two streams, and their clocks drift against each other.
 */
export class AudioBench implements Bench {
  readonly kind = 'audio';
  readonly energises = true;
  readonly rate_Hz: number;
  readonly channels: number;
  readonly #interface: AudioInterface;
  readonly #map: ChannelMap;
  readonly #chains: readonly ChannelChain[];
  /** Digital peak of the start marker on each bench channel. */
  readonly #markerPeaks: readonly number[];
  #driven: readonly number[];
  #stream: AudioStream | null = null;
  #alignment: Alignment | null = null;
  #playing = false;
  #sturdiness: Sturdiness = 'usual';
  #hasBeenSturdy = false;
  #notes: string[] = [];
  #awake: KeepAwake | null = null;

  /**
   * @param setup a bench file whose interface is `audio`
   * @throws AudioRate, AudioChannelMap
   */
  constructor(setup: BenchSetup) {
    if (setup.interface.kind !== 'audio') throw new TypeError(`not an audio bench: ${setup.interface.kind}`);
    this.#interface = setup.interface;
    this.rate_Hz = setup.rate_Hz;
    this.channels = setup.channels.length;
    this.#chains = setup.channels;
    this.#map = channelMap(setup, setup.interface);
    this.#markerPeaks = setup.channels.map((chain) =>
      markerPeak(chain.outputFullScale_Vpk, setup.assumedGain_dB),
    );
    this.#driven = setup.channels.map((_, i) => i + 1);
    if (!RATES_HZ.includes(setup.rate_Hz)) {
      throw new AudioRate({
        what: `${setup.rate_Hz} Hz is not a sample rate of sound interfaces`,
        where: setup.path,
        mend: `Use one of ${RATES_HZ.join(', ')}`,
      });
    }
  }

  /** How the last play was aligned; null before the first one. */
  get alignment(): Alignment | null {
    return this.#alignment;
  }

  get flags(): readonly FlagCode[] {
    return this.#alignment && this.#alignment.heardOn === null ? ['unaligned'] : [];
  }

  /** Process that holds the sound device; null while closed. */
  get hostPid(): number | null {
    return this.#stream?.hostPid ?? null;
  }

  async open(): Promise<void> {
    if (this.#stream) return;
    this.#awake ??= new KeepAwake();
    try {
      this.#stream = await this.#openStream();
    } catch (error) {
      if (!(error instanceof DeviceStalled || error instanceof ChildDied)) throw error;
      this.#beSturdy(`the sound device did not start (${error.explanation.what})`);
      this.#stream = await this.#openStream();
    }
  }

  takeNotes(): readonly string[] {
    const notes = [...this.#notes, ...(this.#awake?.takeNotes() ?? [])];
    this.#notes = [];
    return notes;
  }

  /** Cables are moved by hand: whatever the wiring, it is taken as done. */
  async configure(setting: BenchSetting): Promise<void> {
    this.#free();
    this.#driven = setting.driven;
  }

  async *play(source: SignalSource): AsyncGenerator<SoundBlock, void, void> {
    let stream = this.#free();
    this.#playing = true;
    try {
      for (let tries = 1; ; tries += 1) {
        stream = await this.#streamToPlayOn(stream);
        const play = this.#newPlay(source);
        try {
          stream.play(play);
          yield* this.#blocks(play);
        } catch (error) {
          // What goes wrong while the marker is on its way has cost nothing yet.
          if (!(error instanceof SamplesLost) || play.hasBegun || tries === START_TRIES) throw error;
        }
        await stream.hush();
      }
    } finally {
      await stream.hush();
      this.#playing = false;
    }
  }

  async *#blocks(play: Play): AsyncGenerator<SoundBlock, never, void> {
    for (;;) {
      const block = await play.next();
      this.#alignment = play.alignment;
      // The consumer may now think for a while: let what has come in meanwhile top the host's credit up first.
      await turn();
      yield { start: block.start, ...sortColumns(block.channels, this.#chains) };
    }
  }

  #newPlay(source: SignalSource): Play {
    const { rate_Hz } = this;
    return new Play({
      source,
      markerPeaks: this.#markerPeaks.map((peak, i) => (this.#driven.includes(i + 1) ? peak : 0)),
      rate_Hz,
      bits: this.#interface.bits,
      random: seededRandom(DITHER_SEED),
      knownLag: this.#alignment?.lag ?? null,
      queuedFrames: drainFrames(streamGeometry(rate_Hz, this.#sturdiness)),
    });
  }

  async idle(seconds: number, signal?: AbortSignal): Promise<void> {
    const stream = this.#free();
    const over = new AbortController();
    const stop = () => over.abort();
    signal?.addEventListener('abort', stop);
    if (signal?.aborted) stop();
    try {
      await Promise.race([sleep(1000 * seconds, over.signal), stream.failure(over.signal)]);
    } finally {
      over.abort();
      signal?.removeEventListener('abort', stop);
    }
  }

  now_s(): number {
    return performance.now() / 1000;
  }

  async close(): Promise<void> {
    const stream = this.#stream;
    this.#stream = null;
    this.#alignment = null;
    this.#awake?.release();
    this.#awake = null;
    await stream?.close();
  }

  #openStream(): Promise<AudioStream> {
    const { playDevice, captureDevice, playChannels, captureChannels, bits } = this.#interface;
    const { rate_Hz } = this;
    const geometry = streamGeometry(rate_Hz, this.#sturdiness);
    return AudioStream.open(
      { playDevice, captureDevice, playChannels, captureChannels, rate_Hz, bits, geometry },
      this.#map,
    );
  }

  /**
   * The stream as it is, or one whose buffers suit what was last lost on this one. The time to silence leaves room for either a device
   * or a program that is late, so that each is tried once.
   */
  async #streamToPlayOn(stream: AudioStream): Promise<AudioStream> {
    const { lastLoss } = stream;
    if (lastLoss === 'device' && !this.#hasBeenSturdy) this.#beSturdy('the sound device ran out of samples');
    else if (lastLoss === 'program' && this.#sturdiness === 'sturdy') this.#sturdiness = 'usual';
    else return stream;
    this.#alignment = null;
    await stream.close();
    this.#stream = await this.#openStream();
    return this.#stream;
  }

  #beSturdy(why: string): void {
    this.#sturdiness = 'sturdy';
    this.#hasBeenSturdy = true;
    this.#notes.push(`${why}: it is opened again with larger buffers`);
  }

  /** The stream, when nothing plays on it and nothing is wrong with it. */
  #free(): AudioStream {
    if (!this.#stream) throw new BenchClosed();
    if (this.#stream.fault) throw this.#stream.fault;
    if (this.#playing) throw new BenchBusy();
    return this.#stream;
  }
}

/** Sleeps; an abort ends it early without an error. */
async function sleep(whole_ms: number, signal: AbortSignal): Promise<void> {
  const until_ms = performance.now() + whole_ms;
  while (!signal.aborted) {
    const left_ms = until_ms - performance.now();
    if (left_ms <= 0) return;
    await delay(Math.min(Math.ceil(left_ms), LONGEST_NAP_MS), null, { signal }).catch(() => {});
  }
}

function channelMap(setup: BenchSetup, { playChannels, captureChannels }: AudioInterface): ChannelMap {
  const outputs = setup.channels.map((chain) => chain.output);
  const taps = setup.channels.flatMap(({ current }) => current?.input ?? []);
  const inputs = [...setup.channels.map((chain) => chain.input), ...taps];
  const refuse = (what: string, mend: string) => new AudioChannelMap({ what, where: setup.path, mend });
  if (outputs.some((output) => output > playChannels)) {
    throw refuse(
      `output ${Math.max(...outputs)} is used, but only ${playChannels} play channels are opened`,
      'Open more',
    );
  }
  if (inputs.some((input) => input > captureChannels)) {
    throw refuse(
      `input ${Math.max(...inputs)} is used, but only ${captureChannels} capture channels are opened`,
      'Open more',
    );
  }
  if (new Set(outputs).size < outputs.length) {
    throw refuse(
      `two channels use the same output: ${outputs.join(', ')}`,
      'Give each bench channel an output of its own',
    );
  }
  return { outputs: outputs.map((output) => output - 1), inputs: inputs.map((input) => input - 1) };
}

import { quantise } from '../../signal/dither.js';
import type { SignalSource, SoundBlock } from '../bench.js';
import { SamplesLost } from '../bench-errors.js';
import { BlockQueue } from '../block-queue.js';
import type { StreamUser } from './audio-stream.js';
import { MarkerSearch, marker, markerFrames } from './marker.js';
import type { SampleBits, StreamCounts } from './protocol.js';

/** Longest delay of unit and interface that the marker is waited for. */
const LONGEST_DELAY_S = 0.5;
/** Captured blocks that may wait for their consumer. */
const BACKLOG_S = 30;

/** How played and captured frames were brought together. */
export interface Alignment {
  /** Captured frame number less played frame number, both counted from the opening of the stream. */
  readonly lag: number;
  /** Bench channel (from 1) on which the marker was heard; null when it was not, so that the lag is assumed. */
  readonly heardOn: number | null;
}

export interface PlayOptions {
  readonly source: SignalSource;
  /** Digital peak of the marker on each bench channel; 0 where it is neither played nor listened for. */
  readonly markerPeaks: readonly number[];
  readonly rate_Hz: number;
  readonly bits: SampleBits;
  /** For dither: uniform numbers from 0 up to 1. */
  readonly random: () => number;
  /** Lag of an earlier play on the same stream; null when there was none. */
  readonly knownLag: number | null;
  /** Frames that played samples wait in this program's and the driver's queues, as far as it is known. */
  readonly queuedFrames: number;
}

/**
 * One play on a stream: first the marker, then silence until it has been heard, then the source. When it is not
 * heard in time (a unit that is off, muted or deaf to it is no fault of the bench) the play goes on with the lag
 * of an earlier play or a guess.
 */
export class Play implements StreamUser {
  readonly #queue: BlockQueue;
  readonly #marker: Float64Array;
  readonly #searches: ReadonlyMap<number, MarkerSearch>;
  #searchFrom: number | null = null;
  #started: StreamCounts | null = null;
  #rendered = 0;
  /** Frame of this play at which the source begins. */
  #sourceFrom: number | null = null;
  /** Captured frame that answers to frame 0 of the source. */
  #zero = 0;
  #alignment: Alignment | null = null;

  constructor(private readonly options: PlayOptions) {
    this.#queue = new BlockQueue(BACKLOG_S * options.rate_Hz);
    this.#marker = marker(options.rate_Hz);
    const marked = [...options.markerPeaks.keys()].filter((i) => options.markerPeaks[i]! > 0);
    this.#searches = new Map(marked.map((i) => [i + 1, new MarkerSearch(options.rate_Hz)]));
  }

  /** Known from the moment that the source begins. */
  get alignment(): Alignment | null {
    return this.#alignment;
  }

  /** Whether the source has been asked for samples: until then all of it can begin again. */
  get hasBegun(): boolean {
    return this.#sourceFrom !== null;
  }

  next(): Promise<SoundBlock> {
    return this.#queue.next();
  }

  render(frames: number): readonly Float64Array[] {
    const { source, bits, random } = this.options;
    const channels =
      this.#sourceFrom === null
        ? this.#opening(frames)
        : source.render(this.#rendered - this.#sourceFrom, frames);
    this.#rendered += frames;
    return channels.map((samples) => quantise(samples, bits, random));
  }

  started(counts: StreamCounts): void {
    this.#started = counts;
  }

  captured(at: number, channels: readonly Float64Array[]): void {
    if (this.#sourceFrom === null) {
      this.#listen(at, channels);
      return;
    }
    const skip = Math.max(this.#zero - at, 0);
    if (skip >= channels[0]!.length) return;
    const start = at + skip - this.#zero;
    this.#queue.push({ start, channels: channels.map((samples) => samples.subarray(skip)) });
  }

  trouble(text: string): void {
    this.failed(
      new SamplesLost({
        what: `samples were lost: the sound library reports ${text}`,
        mend: 'Close other programs or use a lower rate; the run may be repeated',
      }),
    );
  }

  failed(reason: unknown): void {
    this.#queue.fail(reason);
  }

  #opening(frames: number): Float64Array[] {
    const stretch = this.#marker.subarray(this.#rendered, this.#rendered + frames);
    return this.options.markerPeaks.map((peak) => {
      const samples = new Float64Array(frames);
      samples.set(stretch.map((sample) => peak * sample));
      return samples;
    });
  }

  #listen(at: number, channels: readonly Float64Array[]): void {
    this.#searchFrom ??= at;
    let best = { frame: 0, share: 0, channel: 0 };
    for (const [channel, search] of this.#searches) {
      search.push(channels[channel - 1]!);
      const found = search.found();
      if (found && found.share > best.share) best = { ...found, channel };
    }
    if (!this.#started) return;
    if (best.share > 0) {
      this.#begin(this.#searchFrom + best.frame - this.#started.written, best.channel);
      return;
    }
    const { rate_Hz, knownLag, queuedFrames } = this.options;
    const dueAt = this.#started.captured + queuedFrames;
    const patience = markerFrames(rate_Hz) + LONGEST_DELAY_S * rate_Hz;
    if (at > dueAt + patience) this.#begin(knownLag ?? dueAt - this.#started.written, null);
  }

  #begin(lag: number, heardOn: number | null): void {
    this.#alignment = { lag, heardOn };
    this.#sourceFrom = this.#rendered;
    this.#zero = this.#started!.written + lag + this.#sourceFrom;
  }
}

import type { Block } from '../bench/bench.js';
import type { BenchSetup } from '../bench/bench-setup.js';
import type { EnergisedStep } from '../sequence/plan.js';
import type { CoherentTone } from '../signal/coherent-tone.js';
import { ChannelWatch, type Window } from './channel-watch.js';
import { KnownGains } from './known-gains.js';
import type { Trip } from './trip.js';
import type { TripLimits } from './trip-limits.js';

/** What plays while a block was captured. */
export interface PlayingNow {
  /** Null while nothing plays. */
  readonly tone: CoherentTone | null;
  /** Digital peak of each bench channel. */
  readonly peaks: readonly number[];
  /** Whether the level stands: no ramp under way, none just over. */
  readonly steady: boolean;
}

/** Shortest window: a load or a protection relay is judged over at least this time. */
const WINDOW_s = 0.05;

/** The shortest stretch of whole cycles that is long enough, to half a sample. */
function windowOf(tone: CoherentTone | null, rate_Hz: number): Window {
  if (!tone) return { frames: Math.ceil(WINDOW_s * rate_Hz), turns: 0 };
  const period = tone.frames / tone.cycles;
  const frames = Math.round(Math.ceil((WINDOW_s * rate_Hz) / period - 1e-6) * period);
  return { frames, turns: tone.cycles / tone.frames };
}

/**
 * Watches every block of a step for reasons to ramp down at once:
 *
 * - `over-voltage`: four samples of a block beyond the step's peak volts;
 * - `converter-rails`: four samples of a block at the converter's full scale;
 * - `over-power`: mean power over whole cycles, at least 50 ms, beyond the step's watts;
 * - `dc`: the means of two such windows running (at least 100 ms) both beyond the bench's DC limit and of one
 *   sign, while the level stands;
 * - `output-lost`: one such window below a tenth of what the same level gave, while the level stands. What a
 *   level gave is known from its own earlier windows, from the gain of the last reading of the step, and before
 *   that from the gain that earlier steps have shown at no more than this level. A channel that is kept silent has no output
 *   to lose; all else is watched there too;
 * - `output-risen`: one such window with a tone above four times what the same level gave, while the level stands, where there
 *   was little but the tone: a gain that jumps up is noticed long before a step's volts and watts are passed;
 * - `thdn-runaway`: four such windows running with far more beside the fundamental than the same level had before
 *   (see `RunawayWatch`).
 *
 * One pass over the samples; nothing is kept but sums.
 */
export class TripWatch {
  readonly #channels: readonly ChannelWatch[];
  readonly #rate_Hz: number;
  readonly #step: string;
  #playing: PlayingNow = { tone: null, peaks: [], steady: false };
  #window: Window;
  /**
   * Load volts (rms) per unit of digital peak, by bench channel, as last read, at whatever tone: a unit that has protected
   * itself in the silence between two tones would otherwise be played into for as long as the step lasts.
   */
  readonly #gain = new Map<number, number>();

  /** What earlier steps have shown. */
  readonly #known: KnownGains;

  /** @param known what the channels have given before; left out: nothing is known */
  constructor(
    limits: TripLimits,
    setup: Pick<BenchSetup, 'rate_Hz'>,
    step: EnergisedStep,
    known = new KnownGains(),
  ) {
    this.#known = known;
    this.#step = step.id;
    this.#channels = limits.map((limit) => new ChannelWatch(limit));
    this.#rate_Hz = setup.rate_Hz;
    this.#window = windowOf(null, setup.rate_Hz);
  }

  /** Says what each driven channel gives, as just read: load volts (rms) per unit of digital peak, by bench channel. */
  learn(gains: ReadonlyMap<number, number>): void {
    for (const [channel, gain] of gains) this.#gain.set(channel, gain);
  }

  /** Looks at the next block. Blocks come in order; after a trip the watch is done. */
  look(block: Block, playing: PlayingNow): Trip | null {
    this.#follow(playing);
    for (const channel of this.#channels) {
      const { index } = channel.limits;
      const sounding = (playing.peaks[index] ?? 0) > 0;
      const trip = channel.look(block.channels[index]!, this.#window, playing.steady, sounding);
      if (trip) return { ...trip, text: `${this.#step}, ${trip.text}` };
    }
    return null;
  }

  /** Starts new windows when tone, level or steadiness changed. */
  #follow(playing: PlayingNow): void {
    const before = this.#playing;
    this.#playing = playing;
    const sameTone = before.tone === playing.tone;
    if (!sameTone) {
      this.#window = windowOf(playing.tone, this.#rate_Hz);
    }
    const samePeaks =
      before.peaks.length === playing.peaks.length &&
      before.peaks.every((peak, i) => peak === playing.peaks[i]);
    if (sameTone && samePeaks && before.steady === playing.steady) return;
    for (const channel of this.#channels) {
      channel.restart();
      const { limits } = channel;
      const peak = playing.peaks[limits.index] ?? 0;
      const most = playing.tone && this.#known.atMost(limits.channel, playing.tone.frequency_Hz, peak);
      channel.expect(this.#leastGain(limits.channel, peak) * peak, most === null ? null : most * peak);
    }
  }

  /** Load volts (rms) per unit of peak that a channel is known to give at least; 0: nothing is known. */
  #leastGain(channel: number, peak: number): number {
    const { tone } = this.#playing;
    const before = tone && this.#known.atLeast(channel, tone.frequency_Hz, peak);
    return Math.max(this.#gain.get(channel) ?? 0, before ?? 0);
  }
}

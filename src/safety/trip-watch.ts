import type { SoundBlock } from '../bench/bench.js';
import type { BenchSetup } from '../bench/bench-setup.js';
import type { EnergisedStep } from '../sequence/plan.js';
import type { Playing } from '../signal/schedule.js';
import { rmsShare, sameStimulus } from '../signal/stimulus.js';
import { ChannelWatch } from './channel-watch.js';
import { KnownGains } from './known-gains.js';
import type { Trip } from './trip.js';
import type { TripLimits } from './trip-limits.js';
import { partsOf, windowsOf } from './windows.js';

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
 * Of bursts, each part is judged by itself: of the edges only peaks; of the bursts, power, loss, rise and distortion over
 * the whole cycles between their edges, so that a load is guarded from what a burst gives and not from its mean over time,
 * which the `CourseWatch` accounts for; of the gaps DC, and power beyond a tenth of the step's, since nothing plays there.
 * DC has to last 100 ms in either. Of several lines, what is known of a level is known of each line's own part of it.
 *
 * Nothing is kept but sums.
 */
export class TripWatch {
  readonly #channels: readonly ChannelWatch[];
  #playing: Playing = { stimulus: null, peaks: [], steady: false };
  #windows: ReturnType<typeof windowsOf>;
  /** The part of the envelope that the last samples belonged to. */
  #part: 'on' | 'edge' | 'off' = 'off';
  /**
   * Load volts (rms) per unit of the digital peak of a sine, by bench channel, as last read, at whatever tone: a unit that has protected
   * itself in the silence between two tones would otherwise be played into for as long as the step lasts.
   */
  readonly #gain = new Map<number, number>();

  /** @param known what the channels have given before; left out: nothing is known */
  constructor(
    limits: TripLimits,
    private readonly setup: Pick<BenchSetup, 'rate_Hz'>,
    private readonly step: EnergisedStep,
    private readonly known = new KnownGains(),
  ) {
    this.#channels = limits.map((limit) => new ChannelWatch(limit));
    this.#windows = windowsOf(null, setup.rate_Hz);
  }

  /** Says what each driven channel gives, as just read: load volts (rms) per unit of digital peak, by bench channel. */
  learn(gains: ReadonlyMap<number, number>): void {
    for (const [channel, gain] of gains) this.#gain.set(channel, gain);
  }

  /** Looks at the next block. Blocks come in order; after a trip the watch is done. */
  look(block: SoundBlock, playing: Playing): Trip | null {
    this.#follow(playing);
    const { stimulus } = playing;
    const gated = stimulus?.envelope.kind === 'burst';
    for (const { kind, from, to } of partsOf(
      stimulus,
      this.setup.rate_Hz,
      block.start,
      block.channels[0]!.length,
    )) {
      const window = kind === 'edge' ? null : this.#windows[kind];
      for (const channel of this.#channels) {
        const { index } = channel.limits;
        const sounding = kind === 'on' && (playing.peaks[index] ?? 0) > 0;
        // What is left over of a burst or a gap is no window of what comes after.
        if (gated && kind !== this.#part) channel.cut();
        const samples = block.channels[index]!.subarray(from, to);
        const gap = gated && kind === 'off';
        const trip = channel.look(samples, { window, steady: playing.steady, sounding, gap });
        if (trip) return { ...trip, text: `${this.step.id}, ${trip.text}` };
      }
      this.#part = kind;
    }
    return null;
  }

  /** Starts new windows when stimulus, level or steadiness changed. */
  #follow(playing: Playing): void {
    const before = this.#playing;
    this.#playing = playing;
    const { stimulus, peaks } = playing;
    const same = before.stimulus && stimulus && sameStimulus(before.stimulus, stimulus);
    const sameSound = before.stimulus === stimulus || same === true;
    if (!sameSound) this.#windows = windowsOf(stimulus, this.setup.rate_Hz);
    const samePeaks =
      before.peaks.length === peaks.length && before.peaks.every((peak, i) => peak === peaks[i]);
    if (sameSound && samePeaks && before.steady === playing.steady) return;
    const lines = stimulus?.lines ?? [];
    const turns = lines.map(({ tone }) => tone.cycles / tone.frames);
    for (const channel of this.#channels) {
      channel.restart(turns);
      const { limits } = channel;
      const peak = peaks[limits.index] ?? 0;
      const most = stimulus && this.known.atMost(limits.channel, stimulus, peak);
      channel.expect(this.#leastGain(limits.channel, peak) * peak, most === null ? null : most * peak);
    }
  }

  /** Load volts (rms) per unit of peak that a channel is known to give at least; 0: nothing is known. */
  #leastGain(channel: number, peak: number): number {
    const { stimulus } = this.#playing;
    if (!stimulus) return 0;
    const before = this.known.atLeast(channel, stimulus, peak);
    return Math.max((this.#gain.get(channel) ?? 0) * rmsShare(stimulus), before ?? 0);
  }
}

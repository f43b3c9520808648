import { type Trip, tripOf } from './trip.js';
import type { ChannelTripLimits } from './trip-limits.js';

/** A converter is at its rails from this share of full scale on. */
const RAIL = 0.9995;
/** One stray sample is a fault of the capture, which has its own check; so many in a block are real. */
const PERSISTENT_SAMPLES = 4;
/** An output that gives less than this share of what the same level gave is lost. */
const LOST_SHARE = 0.1;

/**
 * Watches one channel. Peaks and rails are judged block by block; power, DC and loss of output over windows
 * of whole cycles, so that neither the tone itself nor its position in the window looks like a fault.
 */
export class ChannelWatch {
  #sum = 0;
  #squares = 0;
  #count = 0;
  /** Mean of the window before, in volts; null when there is none of the same steady setting. */
  #lastMean_V: number | null = null;
  /** Rms volts that the present level is known to give; 0 while that is not known. */
  #known_V = 0;

  constructor(readonly limits: ChannelTripLimits) {}

  /** Forgets the window under way: what plays has changed. */
  restart(): void {
    this.#sum = 0;
    this.#squares = 0;
    this.#count = 0;
    this.#lastMean_V = null;
    this.#known_V = 0;
  }

  /** Says that the present level should give this many volts rms. */
  expect(voltage_Vrms: number): void {
    this.#known_V = voltage_Vrms;
  }

  /**
   * Takes the next samples of the channel, in one pass.
   *
   * @param windowFrames length of a window: whole cycles of the tone
   * @param steady whether the level stands: DC and loss of output are judged only then
   * @param sounding whether a tone plays here: a channel kept silent shows offset and hum, which may vanish
   */
  look(samples: Float64Array, windowFrames: number, steady: boolean, sounding: boolean): Trip | null {
    const { voltsPerUnit, voltage_Vpk } = this.limits;
    const most = voltage_Vpk / voltsPerUnit;
    let over = 0;
    let railed = 0;
    let highest = 0;
    for (let from = 0; from < samples.length; ) {
      const to = Math.min(samples.length, from + windowFrames - this.#count);
      let sum = 0;
      let squares = 0;
      for (let i = from; i < to; i += 1) {
        const sample = samples[i]!;
        const size = sample < 0 ? -sample : sample;
        sum += sample;
        squares += sample * sample;
        if (size > highest) highest = size;
        if (size > most) over += 1;
        if (size >= RAIL) railed += 1;
      }
      this.#sum += sum;
      this.#squares += squares;
      this.#count += to - from;
      from = to;
      if (this.#count < windowFrames) continue;
      const trip = this.#judgeWindow(steady, sounding);
      if (trip) return trip;
    }
    const { channel } = this.limits;
    if (over >= PERSISTENT_SAMPLES)
      return tripOf('over-voltage', channel, highest * voltsPerUnit, voltage_Vpk);
    return railed >= PERSISTENT_SAMPLES ? tripOf('converter-rails', channel, highest, RAIL) : null;
  }

  #judgeWindow(steady: boolean, sounding: boolean): Trip | null {
    const { channel, voltsPerUnit, load_ohm, power_W, dc_V } = this.limits;
    const mean_V = (this.#sum / this.#count) * voltsPerUnit;
    const rms_V = Math.sqrt(this.#squares / this.#count) * voltsPerUnit;
    const before_V = this.#lastMean_V;
    this.#sum = 0;
    this.#squares = 0;
    this.#count = 0;
    const measured_W = (rms_V * rms_V) / load_ohm;
    if (measured_W > power_W) return tripOf('over-power', channel, measured_W, power_W);
    if (!steady) return null;
    this.#lastMean_V = mean_V;
    // Both windows must show it: an output lost in mid-cycle leaves a mean in one of them.
    const lasting = before_V !== null && before_V * mean_V > 0;
    const dc = lasting ? Math.min(Math.abs(before_V), Math.abs(mean_V)) : 0;
    if (dc > dc_V) return tripOf('dc', channel, dc, dc_V);
    if (!sounding) return null;
    if (rms_V < LOST_SHARE * this.#known_V)
      return tripOf('output-lost', channel, rms_V, LOST_SHARE * this.#known_V);
    this.#known_V = Math.max(this.#known_V, rms_V);
    return null;
  }
}

import { RunawayWatch } from './runaway-watch.js';
import { LOST_SHARE, RISEN_TIMES, type Trip, tripOf } from './trip.js';
import type { ChannelTripLimits } from './trip-limits.js';

/** A converter is at its rails from this share of full scale on. */
const RAIL = 0.9995;
/** One stray sample is a fault of the capture, which has its own check; so many in a block are real. */
const PERSISTENT_SAMPLES = 4;
/** What a level gave says how much it may give only when there was little but the tone: a mute or a gate may open. */
const CLEAN_SHARE = 0.01;
/** And only from this part of the step's power on: what leaks through a mute is far weaker. */
const LEAK_SHARE = 1e-4;
/** A tone that is less than half of what is heard may be chance. */
const HEARD_SHARE = Math.sqrt(1 - 0.5 ** 2);

/** Stretches over which a channel is judged. */
export interface Window {
  /** Whole cycles of the tone. */
  readonly frames: number;
  /** Cycles of the tone in one frame; 0 while there is none. */
  readonly turns: number;
}

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
  /** Rms volts that the present level is known to give, in all and at the tone; 0 while that is not known. */
  #known_V = 0;
  #knownTone_V = 0;
  /** The most that the present level is known to give; null while that is not known. */
  #most_V: number | null = null;
  readonly #runaway = new RunawayWatch();
  /** The last two values of a resonator at the tone, by which the fundamental of a window is found (Goertzel). */
  #now = 0;
  #before = 0;

  constructor(readonly limits: ChannelTripLimits) {}

  /** Forgets the window under way: what plays has changed. */
  restart(): void {
    this.#sum = 0;
    this.#squares = 0;
    this.#count = 0;
    this.#lastMean_V = null;
    this.#known_V = 0;
    this.#knownTone_V = 0;
    this.#most_V = null;
    this.#now = 0;
    this.#before = 0;
    this.#runaway.restart();
  }

  /** Says how many volts rms the present level should give, and at most; null: there is no saying. */
  expect(voltage_Vrms: number, most_Vrms: number | null): void {
    this.#known_V = voltage_Vrms;
    this.#knownTone_V = voltage_Vrms;
    this.#most_V = most_Vrms;
  }

  /**
   * Takes the next samples of the channel, in one pass.
   *
   * @param steady whether the level stands: DC, loss of output and distortion are judged only then
   * @param sounding whether a tone plays here: a channel kept silent shows offset and hum, which may vanish
   */
  look(samples: Float64Array, { frames, turns }: Window, steady: boolean, sounding: boolean): Trip | null {
    const { voltsPerUnit, voltage_Vpk } = this.limits;
    const most = voltage_Vpk / voltsPerUnit;
    const pull = 2 * Math.cos(2 * Math.PI * turns);
    let over = 0;
    let railed = 0;
    let highest = 0;
    for (let from = 0; from < samples.length; ) {
      const to = Math.min(samples.length, from + frames - this.#count);
      let sum = 0;
      let squares = 0;
      let now = this.#now;
      let before = this.#before;
      for (let i = from; i < to; i += 1) {
        const sample = samples[i]!;
        const size = sample < 0 ? -sample : sample;
        sum += sample;
        squares += sample * sample;
        const next = sample + pull * now - before;
        before = now;
        now = next;
        if (size > highest) highest = size;
        if (size > most) over += 1;
        if (size >= RAIL) railed += 1;
      }
      this.#sum += sum;
      this.#squares += squares;
      this.#now = now;
      this.#before = before;
      this.#count += to - from;
      from = to;
      if (this.#count < frames) continue;
      const trip = this.#judgeWindow(pull, steady, sounding);
      if (trip) return trip;
    }
    const { channel } = this.limits;
    if (over >= PERSISTENT_SAMPLES)
      return tripOf('over-voltage', channel, highest * voltsPerUnit, voltage_Vpk);
    return railed >= PERSISTENT_SAMPLES ? tripOf('converter-rails', channel, highest, RAIL) : null;
  }

  #judgeWindow(pull: number, steady: boolean, sounding: boolean): Trip | null {
    const { channel, voltsPerUnit, load_ohm, power_W } = this.limits;
    const count = this.#count;
    const mean = this.#sum / count;
    const square = this.#squares / count;
    const [now, before] = [this.#now, this.#before];
    const fundamental = (2 * (now * now + before * before - pull * now * before)) / (count * count);
    this.#sum = 0;
    this.#squares = 0;
    this.#count = 0;
    this.#now = 0;
    this.#before = 0;
    const rms_V = Math.sqrt(square) * voltsPerUnit;
    const measured_W = (rms_V * rms_V) / load_ohm;
    if (measured_W > power_W) return tripOf('over-power', channel, measured_W, power_W);
    if (!steady) return null;
    const trip = this.#judgeDc(mean * voltsPerUnit);
    if (trip || !sounding) return trip;
    const tone_V = Math.sqrt(Math.max(0, fundamental)) * voltsPerUnit;
    const lost = this.#judgeLoss(rms_V, tone_V);
    if (lost) return lost;
    const ac = square - mean * mean;
    const share = ac > 0 ? Math.sqrt(Math.max(0, 1 - fundamental / ac)) : 0;
    const risen = this.#judgeRise(tone_V, share);
    if (risen) return risen;
    const found = this.#runaway.look(share);
    return found && tripOf('thdn-runaway', channel, 100 * found.share, 100 * found.limit);
  }

  /**
   * An output is lost when it falls in all and at the tone: a fading offset after a loud level takes the first
   * with it, and where noise hides the tone the second is chance.
   */
  #judgeLoss(rms_V: number, tone_V: number): Trip | null {
    const { channel } = this.limits;
    const least_V = LOST_SHARE * this.#known_V;
    if (rms_V < least_V && tone_V < LOST_SHARE * this.#knownTone_V)
      return tripOf('output-lost', channel, rms_V, least_V);
    this.#known_V = Math.max(this.#known_V, rms_V);
    this.#knownTone_V = Math.max(this.#knownTone_V, tone_V);
    return null;
  }

  /** @param share of all that is not the fundamental */
  #judgeRise(tone_V: number, share: number): Trip | null {
    const limit_V = this.#most_V === null ? null : RISEN_TIMES * this.#most_V;
    if (limit_V !== null && tone_V > limit_V && share < HEARD_SHARE)
      return tripOf('output-risen', this.limits.channel, tone_V, limit_V);
    const { load_ohm, power_W } = this.limits;
    const speaks = share < CLEAN_SHARE && tone_V * tone_V > LEAK_SHARE * power_W * load_ohm;
    if (speaks) this.#most_V = Math.max(this.#most_V ?? 0, tone_V);
    return null;
  }

  #judgeDc(mean_V: number): Trip | null {
    const { channel, dc_V } = this.limits;
    const before_V = this.#lastMean_V;
    this.#lastMean_V = mean_V;
    // Both windows must show it: an output lost in mid-cycle leaves a mean in one of them.
    const lasting = before_V !== null && before_V * mean_V > 0;
    const dc = lasting ? Math.min(Math.abs(before_V), Math.abs(mean_V)) : 0;
    return dc > dc_V ? tripOf('dc', channel, dc, dc_V) : null;
  }
}

import { Resonator } from './resonator.js';
import { RunawayWatch } from './runaway-watch.js';
import { LOST_SHARE, RISEN_TIMES, type Trip, tripOf } from './trip.js';
import type { ChannelTripLimits } from './trip-limits.js';
import type { JudgedStretch } from './windows.js';

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
/** Between bursts nothing plays: so much of the step's power there is the unit's own doing. */
const GAP_SHARE = 0.1;

/** What the next samples of a channel belong to. */
export interface Sounding {
  /** Null: an edge of a burst, of which only peaks are judged. */
  readonly window: JudgedStretch | null;
  /** Whether the level stands: DC, loss of output and distortion are judged only then. */
  readonly steady: boolean;
  /** Whether anything plays here: a channel kept silent shows offset and hum, which may vanish. */
  readonly sounding: boolean;
  /** Whether these samples lie between two bursts. */
  readonly gap: boolean;
}

/**
 * Watches one channel. Peaks and rails are judged block by block; power, DC and loss of output over windows
 * of whole cycles, so that neither the tone itself nor its position in the window looks like a fault.
 */
export class ChannelWatch {
  #sum = 0;
  #squares = 0;
  #count = 0;
  /** Windows running with DC beyond its limit and of one sign: the least of it, signed, and how long they have lasted. */
  #dc_V = 0;
  #dcFrames = 0;
  /** Rms volts that the present level is known to give, in all and at its lines; 0 while that is not known. */
  #known_V = 0;
  #knownTone_V = 0;
  /** The most that the present level is known to give; null while that is not known. */
  #most_V: number | null = null;
  readonly #runaway = new RunawayWatch();
  /** One for each line of what plays. */
  #lines: readonly Resonator[] = [];

  constructor(readonly limits: ChannelTripLimits) {}

  /** Forgets what was: another stimulus or level plays. @param turns cycles of each of its lines in one frame */
  restart(turns: readonly number[]): void {
    this.#lines = turns.map((one) => new Resonator(one));
    this.cut();
    this.#dcFrames = 0;
    this.#known_V = 0;
    this.#knownTone_V = 0;
    this.#most_V = null;
    this.#runaway.restart();
  }

  /** Forgets the window under way: a burst or a gap is over before it. */
  cut(): void {
    this.#sum = 0;
    this.#squares = 0;
    this.#count = 0;
    for (const line of this.#lines) line.restart();
  }

  /** Says how many volts rms the present level should give, and at most; null: there is no saying. */
  expect(voltage_Vrms: number, most_Vrms: number | null): void {
    this.#known_V = voltage_Vrms;
    this.#knownTone_V = voltage_Vrms;
    this.#most_V = most_Vrms;
  }

  /** Takes the next samples of the channel. */
  look(samples: Float64Array, now: Sounding): Trip | null {
    const { channel, voltsPerUnit, voltage_Vpk } = this.limits;
    const most = voltage_Vpk / voltsPerUnit;
    const frames = now.window?.frames ?? Number.POSITIVE_INFINITY;
    let over = 0;
    let railed = 0;
    let highest = 0;
    for (let from = 0; from < samples.length; ) {
      const to = Math.min(samples.length, from + frames - this.#count);
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
      for (const line of this.#lines) line.push(samples, from, to);
      this.#count += to - from;
      from = to;
      const trip = now.window && this.#count >= frames ? this.#judgeWindow(now.window, now) : null;
      if (trip) return trip;
    }
    if (over >= PERSISTENT_SAMPLES)
      return tripOf('over-voltage', channel, highest * voltsPerUnit, voltage_Vpk);
    return railed >= PERSISTENT_SAMPLES ? tripOf('converter-rails', channel, highest, RAIL) : null;
  }

  #judgeWindow(window: JudgedStretch, { steady, sounding, gap }: Sounding): Trip | null {
    const { channel, voltsPerUnit, load_ohm, power_W } = this.limits;
    const count = this.#count;
    const mean = this.#sum / count;
    const square = this.#squares / count;
    const tones = this.#lines.reduce((sum, line) => sum + line.take(count), 0);
    this.cut();
    const rms_V = Math.sqrt(square) * voltsPerUnit;
    const measured_W = (rms_V * rms_V) / load_ohm;
    const most_W = gap ? GAP_SHARE * power_W : power_W;
    if (measured_W > most_W) return tripOf('over-power', channel, measured_W, most_W);
    if (!steady) return null;
    const trip = this.#judgeDc(mean * voltsPerUnit, count, window);
    if (trip || !sounding) return trip;
    const tone_V = Math.sqrt(tones) * voltsPerUnit;
    const lost = this.#judgeLoss(rms_V, tone_V);
    if (lost) return lost;
    const ac = square - mean * mean;
    const share = ac > 0 ? Math.sqrt(Math.max(0, 1 - tones / ac)) : 0;
    const risen = this.#judgeRise(tone_V, share);
    if (risen) return risen;
    const found = this.#runaway.look(share);
    return found && tripOf('thdn-runaway', channel, 100 * found.share, 100 * found.limit);
  }

  /**
   * An output is lost when it falls in all and at its lines: a fading offset after a loud level takes the first
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

  /** @param share of all that is none of the lines */
  #judgeRise(tone_V: number, share: number): Trip | null {
    const limit_V = this.#most_V === null ? null : RISEN_TIMES * this.#most_V;
    if (limit_V !== null && tone_V > limit_V && share < HEARD_SHARE)
      return tripOf('output-risen', this.limits.channel, tone_V, limit_V);
    const { load_ohm, power_W } = this.limits;
    const speaks = share < CLEAN_SHARE && tone_V * tone_V > LEAK_SHARE * power_W * load_ohm;
    if (speaks) this.#most_V = Math.max(this.#most_V ?? 0, tone_V);
    return null;
  }

  /** Two whole windows' time must show it: an output lost in mid-cycle leaves a mean in one of them. */
  #judgeDc(mean_V: number, count: number, { whole }: JudgedStretch): Trip | null {
    const { channel, dc_V } = this.limits;
    const beyond = Math.abs(mean_V) > dc_V;
    const goesOn = beyond && this.#dcFrames > 0 && this.#dc_V * mean_V > 0;
    this.#dcFrames = beyond ? (goesOn ? this.#dcFrames : 0) + count : 0;
    this.#dc_V = goesOn && Math.abs(this.#dc_V) < Math.abs(mean_V) ? this.#dc_V : mean_V;
    return this.#dcFrames >= 2 * whole ? tripOf('dc', channel, Math.abs(this.#dc_V), dc_V) : null;
  }
}

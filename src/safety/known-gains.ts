import type { Stimulus } from '../signal/stimulus.js';
import { decibelsOfVoltage, voltageRatio } from '../units/decibel.js';

/** Gains of levels that lie within this are kept as one. */
const LEVEL_dB = 1;
/** A gain without much distortion holds for so much weaker a level, too: a crossover fault would have shown. */
const CLEAN_BELOW_dB = 10;
/** A gain tells nothing of a tone further away than an octave. */
const NEAR = 2;

/** The least gain, and the most, that a channel has shown around one level of one tone. */
interface KnownGain {
  readonly frequency_Hz: number;
  readonly peak: number;
  gain: number;
  most: number;
  readonly clean: boolean;
}

/** A gain as it was read. */
export interface ShownGain {
  readonly channel: number;
  readonly frequency_Hz: number;
  /** Digital peak that was played. */
  readonly peak: number;
  /** Load volts (rms) per unit of that. */
  readonly gain: number;
  /** Whether there was little but the tone. */
  readonly clean: boolean;
}

/**
 * What the channels of a run have given so far, as long as nobody has changed anything by hand: load volts (rms) per
 * unit of digital peak. A unit that has shut down between two steps would otherwise be driven ever harder by a search for
 * its gain, up to the interface's full output, and get all of it at once when it comes back.
 */
export class KnownGains {
  readonly #gains = new Map<number, KnownGain[]>();

  forget(): void {
    this.#gains.clear();
  }

  learn({ channel, ...shown }: ShownGain): void {
    const { frequency_Hz, peak, gain, clean } = shown;
    if (!(peak > 0 && gain > 0)) return;
    const known = this.#gains.get(channel) ?? [];
    this.#gains.set(channel, known);
    const alike = known.find(
      (one) =>
        one.frequency_Hz === frequency_Hz &&
        one.clean === clean &&
        Math.abs(decibelsOfVoltage(one.peak / peak)) < LEVEL_dB / 2,
    );
    if (!alike) known.push({ ...shown, most: gain });
    else Object.assign(alike, { gain: Math.min(alike.gain, gain), most: Math.max(alike.most, gain) });
  }

  /**
   * Load volts (rms) per unit of peak that a stimulus gives at least while it sounds: of each line its share of the peak times
   * the least gain that the channel has shown near it at this level or a lower one; null when one is not known.
   * Higher levels do not count, or hardly: a unit with a crossover fault, a gate or a mute swallows much of a weaker tone than any that it was given, and
   * gives no less of a stronger one, but for clipping.
   */
  atLeast(channel: number, stimulus: Stimulus, peak: number): number | null {
    const most = (one: KnownGain) => peak * voltageRatio(one.clean ? CLEAN_BELOW_dB : LEVEL_dB / 2);
    return ofAllLines(stimulus, (line_Hz) => {
      const gains = this.#near(channel, line_Hz).filter((one) => one.peak <= most(one));
      return gains.length === 0 ? null : Math.min(...gains.map(({ gain }) => gain));
    });
  }

  /**
   * The same at most: by the most that the channel has shown at this level or a higher one, where there was little but the tone.
   * Lower ones do not count: a unit may wake up with level.
   */
  atMost(channel: number, stimulus: Stimulus, peak: number): number | null {
    const least = peak * voltageRatio(-LEVEL_dB / 2);
    return ofAllLines(stimulus, (line_Hz) => {
      const gains = this.#near(channel, line_Hz).filter((one) => one.clean && one.peak >= least);
      return gains.length === 0 ? null : Math.max(...gains.map(({ most }) => most));
    });
  }

  #near(channel: number, line_Hz: number): readonly KnownGain[] {
    return (this.#gains.get(channel) ?? []).filter((one) => isNear(one.frequency_Hz, line_Hz));
  }
}

/** Lines add as powers do; what is known of all but one of them says nothing of the whole. */
function ofAllLines({ lines }: Stimulus, gainOf: (line_Hz: number) => number | null): number | null {
  const parts = lines.map(({ tone, share }) => {
    const gain = gainOf(tone.frequency_Hz);
    return gain === null ? null : share * gain;
  });
  if (parts.length === 0 || !parts.every((part) => part !== null)) return null;
  return Math.hypot(...parts);
}

const isNear = (one_Hz: number, other_Hz: number): boolean =>
  Math.max(one_Hz / other_Hz, other_Hz / one_Hz) <= NEAR;

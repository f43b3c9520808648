import type { Point, Reading } from '../../record/run-record.js';
import { decibelsOfVoltage } from '../../units/decibel.js';
import { outputOf } from '../capture/drive.js';

/**
 * Below this a unit is far from clipping, and its gain is the same at any level: a cubic curve of 0.5 % third harmonic has
 * lost three times as much of its gain, 0.13 dB.
 */
const CLEAN_PERCENT = 0.5;
/** What that, and a unit and a load that become warm, may come to. */
const GAIN_dB = 0.3;
/** A unit that gives so much more of a stronger tone has woken up with it: a mute or a gate, which leaks before that. */
const WAKES_dB = 12;
/** In a hold nothing is changed: one capture differs from the next by no more than this, or this many times as much as any before. */
const STEP_dB = 0.02;
const STEP_SHARE = 5;
/** Until two captures of a hold can be compared. */
const FIRST_STEP_dB = 0.05;
/** What moves on in the same direction by this much of its last step was no step but a drift, as of a unit that warms up. */
const DRIFT_SHARES = [1 / STEP_SHARE, 1.5] as const;
/** Noise and hum at no more drive than before: 6 dB are far more than chance makes of them in half a second. */
const NOISE_dB = 6;
/**
 * A noise below this part of the residue adds less than 5 % to THD+N. Where a unit begins to clip, its harmonics follow every
 * thousandth of its level, and what they move within a record stands as noise beside their bins.
 */
const MASKED_SHARE = 0.3;
/** A supply that sags may give so much less when it is driven harder. */
const FALLEN_dB = 1;
/** Drives closer than this are the same. */
const LIKE_dB = 0.02;
/** A channel that is less than this part of what it was off is again as it was. */
const BACK_SHARE = 1 / 3;

/** What a setting has given. */
interface Given {
  readonly step: string;
  readonly drive_dB: number;
  readonly gain_dB: number;
  readonly noise_dB: number;
  /** Harmonics beside which such a noise may be no more than their own movement within the record. */
  readonly masked: boolean;
  /** The band that the noise was measured in. */
  readonly band: string;
  readonly clean: boolean;
  /** The harmonics lie outside the band, so that clipping does not show. */
  readonly blind: boolean;
}

/** By how much a capture differs from those before; null: that cannot be said. */
interface Difference {
  readonly gain_dB: number | null;
  readonly noise_dB: number | null;
}

/**
 * Remembers what each channel gave at each frequency, as long as nobody has changed anything by hand, and tells when the same
 * setting gives something else: a capture that has lost half its gain, a load that has come off or a hum that has come in
 * looks like a reading of a good unit, but not like the one before.
 *
 * From then on every reading of the channel is flagged, whatever was played, until the same setting gives again what it gave
 * at first. A unit that drifts slowly is compared with what it was last.
 */
export class AsBefore {
  readonly #given = new Map<string, Given[]>();
  /** The first flagged capture of a hold, by setting, and the one before it: by the next one it may prove to drift. */
  readonly #doubted = new Map<string, readonly [Given, Given]>();
  /** What the channels that have changed are off by. */
  readonly #changed = new Map<number, Difference>();

  /** Forgets everything: somebody has changed something. */
  forget(): void {
    this.#given.clear();
    this.#doubted.clear();
    this.#changed.clear();
  }

  /** The reading as it stands, with the flag `not-as-before` where it differs from earlier ones. */
  judged(point: Point, reading: Reading): Reading {
    const key = [reading.channel, point.nominal_Hz, point.load_ohm, point.driven, point.mains_V].join(' ');
    const earlier = this.#given.get(key) ?? [];
    this.#given.set(key, earlier);
    const given = givenOf(reading);
    if (!Number.isFinite(given.drive_dB) || reading.flags.includes('no-tone')) return reading;
    const held = point.stepKind === 'hold';
    if (held) this.#admitDrift(reading.channel, key, given);
    const changed = this.#changedBy(reading.channel, given, earlier, held);
    if (changed && held && !this.#doubted.has(key) && earlier.length > 0)
      this.#doubted.set(key, [earlier.at(-1)!, given]);
    if (changed) return { ...reading, flags: [...reading.flags, 'not-as-before'] };
    earlier.push(given);
    return reading;
  }

  /** Takes back what a hold was doubted for, once its next capture shows that it merely moves on. */
  #admitDrift(channel: number, key: string, now: Given): void {
    const [before, doubted] = this.#doubted.get(key) ?? [];
    if (!before || !doubted || doubted.step !== now.step || this.#changed.get(channel)?.noise_dB) return;
    this.#doubted.delete(key);
    const share = (now.gain_dB - doubted.gain_dB) / (doubted.gain_dB - before.gain_dB);
    if (!(share >= DRIFT_SHARES[0] && share <= DRIFT_SHARES[1])) return;
    this.#changed.delete(channel);
    this.#given.get(key)!.push(doubted);
  }

  #changedBy(channel: number, given: Given, earlier: readonly Given[], held: boolean): boolean {
    const now = { gain_dB: gainOff(given, earlier), noise_dB: noiseOff(given, earlier) };
    const most_dB = held ? Math.min(GAIN_dB, mostStep(given, earlier)) : GAIN_dB;
    const gain_dB = beyond(now.gain_dB, most_dB);
    const noise_dB = beyond(now.noise_dB, NOISE_dB);
    const before = this.#changed.get(channel);
    if (gain_dB !== null || noise_dB !== null) {
      // The first difference is what says when a channel is back; a later one may be the larger.
      this.#changed.set(channel, {
        gain_dB: before?.gain_dB ?? gain_dB,
        noise_dB: before?.noise_dB ?? noise_dB,
      });
      return true;
    }
    if (!before) return false;
    if (!isBack(now.gain_dB, before.gain_dB) || !isBack(now.noise_dB, before.noise_dB)) return true;
    this.#changed.delete(channel);
    return false;
  }
}

const beyond = (off_dB: number | null, most_dB: number): number | null =>
  off_dB !== null && off_dB > most_dB ? off_dB : null;

/** Whether what was off by `then_dB` no longer is; what was not off need not come back. */
const isBack = (now_dB: number | null, then_dB: number | null): boolean =>
  then_dB === null || (now_dB !== null && now_dB < BACK_SHARE * then_dB);

const givenOutput = ({ drive_dB, gain_dB }: Given): number => drive_dB + gain_dB;

function givenOf(reading: Reading): Given {
  const { step, gain_dB, noise_V, band_Hz, thdn_percent, flags } = reading;
  const blind = flags.includes('harmonics-out-of-band');
  const drive_dB = decibelsOfVoltage(outputOf(reading));
  return {
    step,
    drive_dB,
    gain_dB,
    noise_dB: decibelsOfVoltage(noise_V),
    masked: noise_V < MASKED_SHARE * (reading.thdn_percent / 100) * reading.voltage_V,
    band: band_Hz.join(' '),
    clean: thdn_percent < CLEAN_PERCENT && !blind,
    blind,
  };
}

/**
 * Decibels between the gain and that of the latest of the clean captures nearest in drive. Of a unit that clips nothing can be said
 * but that it gives no less for being driven harder; nor of one that may clip unseen, except at the same drive.
 */
function gainOff(now: Given, earlier: readonly Given[]): number | null {
  if (now.blind) {
    const same = earlier.findLast((given) => Math.abs(given.drive_dB - now.drive_dB) < LIKE_dB);
    if (same) return Math.abs(now.gain_dB - same.gain_dB);
  }
  if (!now.clean) {
    const weaker = earlier.filter((given) => given.drive_dB <= now.drive_dB + LIKE_dB).map(givenOutput);
    const fallen_dB = Math.max(...weaker) - givenOutput(now);
    return fallen_dB > FALLEN_dB ? fallen_dB : null;
  }
  const off = (given: Given) => Math.round(Math.abs(given.drive_dB - now.drive_dB) / LIKE_dB);
  const nearest = earlier
    .filter((given) => given.clean && !wakesBetween(given, now))
    .reduce<Given | null>((best, given) => (best && off(best) < off(given) ? best : given), null);
  return nearest && Math.abs(now.gain_dB - nearest.gain_dB);
}

/** Whether the unit gave far more gain to the stronger of two tones: it had not woken up for the other. */
function wakesBetween(one: Given, other: Given): boolean {
  const apart_dB = other.drive_dB - one.drive_dB;
  return Math.abs(apart_dB) > LIKE_dB && (other.gain_dB - one.gain_dB) * Math.sign(apart_dB) > WAKES_dB;
}

/**
 * Decibels of noise above all earlier in the same band that were driven as hard at least: noise that comes with the drive is in them. Of a level that
 * is higher than any before nothing can be said: where a unit begins to clip on a rippling supply the noise leaps by
 * 30 dB from one level to the next, before any harmonic shows it.
 */
function noiseOff({ drive_dB, noise_dB, masked, band }: Given, earlier: readonly Given[]): number | null {
  if (masked) return null;
  const harder = earlier.filter((given) => given.band === band && given.drive_dB >= drive_dB - LIKE_dB);
  return harder.length === 0 ? null : noise_dB - Math.max(...harder.map((given) => given.noise_dB));
}

/** How far the gain in a hold may lie from that of the capture before. */
function mostStep(now: Given, earlier: readonly Given[]): number {
  const own = earlier.filter(
    ({ step, drive_dB, clean }) => step === now.step && clean && Math.abs(drive_dB - now.drive_dB) < LIKE_dB,
  );
  if (own.length === 0) return GAIN_dB;
  const steps = own.slice(1).map(({ gain_dB }, i) => Math.abs(gain_dB - own[i]!.gain_dB));
  return steps.length === 0 ? FIRST_STEP_dB : Math.max(STEP_dB, STEP_SHARE * Math.max(...steps));
}

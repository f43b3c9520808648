import type { Twin } from '../../../src/bench/simulated/twin.js';
import type { CauseQuestion } from '../../../src/measure/cause/question.js';
import { CauseStand } from './cause-stand.js';
import type { Dice } from './dice.js';
import { railOf } from './rail.js';

/** The frequency that others are compared with. */
const REFERENCE_HZ = 1000;
const LOW = 0.1;

/** Rate that passes the third harmonic. */
function rateFor(frequency_Hz: number, dice: Dice): number {
  if (frequency_Hz <= 6000) return 48_000;
  return dice.careless ? dice.pick([48_000, 96_000, 192_000]) : 192_000;
}

function overBy_dB(dice: Dice): number {
  return dice.careless ? dice.between(0.05, 1) : dice.between(0.3, 1);
}

/** Peak volts into the unit at which it would reach its rails. */
function fullDrive(twin: Twin): number {
  return railOf(twin) / twin.channel.gain;
}

/** Just above the ceiling and 20 dB below it, at one frequency into one load. */
async function pairAt(
  stand: CauseStand,
  twin: Twin,
  frequency_Hz: number,
  load_ohm: number,
  over_dB: number,
  percent = 1,
) {
  const full = fullDrive(twin);
  const range = [(percent > 1 ? 0.6 : 0.12) * full, 1.4 * full] as const;
  const ceiling = await stand.ceiling({ frequency_Hz, load_ohm }, percent, range);
  const drive = ceiling * 10 ** (over_dB / 20);
  return {
    high: await stand.evidence({ frequency_Hz, load_ohm, drive }),
    low: await stand.evidence({ frequency_Hz, load_ohm, drive: LOW * drive }),
  };
}

/** A frequency whose ceiling lies below that of 1 kHz; with another load at 1 kHz where one is given. */
export async function askBand(
  twin: Twin,
  frequency_Hz: number,
  load_ohm: number,
  dice: Dice,
  seed: number,
  other_ohm?: number,
): Promise<CauseQuestion> {
  const stand = new CauseStand(twin, rateFor(frequency_Hz, dice), seed);
  const over_dB = overBy_dB(dice);
  const reference = await pairAt(stand, twin, REFERENCE_HZ, load_ohm, over_dB);
  const failing = await pairAt(stand, twin, frequency_Hz, load_ohm, over_dB);
  const other = other_ohm && (await pairAt(stand, twin, REFERENCE_HZ, other_ohm, over_dB));
  return {
    failing: failing.high,
    low: failing.low,
    reference: reference.high,
    referenceLow: reference.low,
    ...(other ? { otherLoad: other.high } : {}),
  };
}

/** 4 ohm that give less than 8 ohm promise, at 1 kHz. */
export async function askLoad(twin: Twin, dice: Dice, seed: number): Promise<CauseQuestion> {
  const stand = new CauseStand(twin, rateFor(REFERENCE_HZ, dice), seed);
  const over_dB = overBy_dB(dice);
  const other = await pairAt(stand, twin, REFERENCE_HZ, 8, over_dB);
  const failing = await pairAt(stand, twin, REFERENCE_HZ, 4, over_dB);
  return { failing: failing.high, low: failing.low, otherLoad: other.high };
}

/** 1 kHz into 8 ohm alone. */
export async function askSingle(
  twin: Twin,
  dice: Dice,
  seed: number,
  threshold_percent = 1,
): Promise<CauseQuestion> {
  const stand = new CauseStand(twin, rateFor(REFERENCE_HZ, dice), seed);
  const { high, low } = await pairAt(stand, twin, REFERENCE_HZ, 8, overBy_dB(dice), threshold_percent);
  return { failing: high, low, threshold_percent };
}

/** A low level at which the threshold is never kept. */
export async function askLowLevel(twin: Twin, dice: Dice, seed: number): Promise<CauseQuestion> {
  const frequency_Hz = dice.pick([100, 1000, 4000, 10_000, 20_000]);
  const load_ohm = dice.pick([4, 8]);
  const threshold_percent = dice.pick([0.1, 0.3, 1]);
  const stand = new CauseStand(twin, rateFor(frequency_Hz, dice), seed);
  let drive = (Math.SQRT2 * Math.sqrt(dice.between(0.2, 4) * load_ohm)) / twin.channel.gain;
  for (let i = 0; i < 6; i += 1) {
    if ((await stand.thdn_percent({ frequency_Hz, load_ohm, drive })) > threshold_percent) break;
    drive /= 2;
  }
  return {
    failing: await stand.evidence({ frequency_Hz, load_ohm, drive }),
    low: await stand.evidence({ frequency_Hz, load_ohm, drive: LOW * drive }),
    threshold_percent,
  };
}

/** A level well below clipping, kept for some seconds. */
export async function askHold(
  twin: Twin,
  load_ohm: number,
  seconds: number,
  dice: Dice,
  seed: number,
): Promise<CauseQuestion> {
  const frequency_Hz = dice.pick([100, 1000]);
  const stand = new CauseStand(twin, 48_000, seed);
  const drive = dice.between(0.55, 0.85) * fullDrive(twin);
  const low = await stand.evidence({ frequency_Hz, load_ohm, drive: LOW * drive });
  const moments_s = [0.05, 1, 2, 3.1, 4.5, 6, 7.5, 9].filter((moment) => moment < seconds);
  const records = await stand.overTime({ frequency_Hz, load_ohm, drive }, moments_s);
  return {
    failing: records.at(-1)!,
    low,
    overTime: records.map(({ fundamental_V }, i) => ({ at_s: moments_s[i]!, fundamental_V })),
  };
}

/** A unit that is asked for less than it can give, in any of the ways above. */
export async function askHealthy(twin: Twin, dice: Dice, seed: number): Promise<CauseQuestion> {
  if (dice.pick([1, 2, 3, 4]) === 1) return askHold(twin, 8, 6, dice, seed);
  const frequency_Hz = dice.pick([20, 40, 100, 1000, 10_000, 20_000]);
  const stand = new CauseStand(twin, rateFor(frequency_Hz, dice), seed);
  const drive = dice.between(0.3, 0.85) * fullDrive(twin);
  const at = (frequency: number, load_ohm: number, share: number) =>
    stand.evidence({ frequency_Hz: frequency, load_ohm, drive: share * drive });
  const basic = { failing: await at(frequency_Hz, 8, 1), low: await at(frequency_Hz, 8, LOW) };
  if (frequency_Hz === REFERENCE_HZ) return { ...basic, otherLoad: await at(frequency_Hz, 4, 0.9) };
  return {
    ...basic,
    reference: await at(REFERENCE_HZ, 8, 1),
    referenceLow: await at(REFERENCE_HZ, 8, LOW),
  };
}

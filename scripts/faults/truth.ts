import type { Point, Reading, RunRecord } from '../../src/record/run-record.js';

/**
 * How far a reading may lie from that of the run without the fault, in dB: power, and THD+N. A record holds some 13 000
 * independent values of noise in 20 kHz, which makes the level of the noise known to 0.055 dB (one sigma); the
 * power is governed by the tone alone.
 */
const MOST_POWER_dB = 0.005;
const MOST_THDN_dB = 0.3;
/** Warnings that say nothing of a fault: readings of the run without it carry them just as well. */
type Flags = Reading['flags'];

/** What was found of the readings of one run. */
export interface Judged {
  /** Readings whose commit came back. */
  readonly committed: number;
  /** Readings that are in the database. */
  readonly kept: number;
  /** Committed, and not there or not as they were. */
  readonly lost: number;
  /** Kept with a warning that the run without the fault does not carry. */
  readonly flagged: number;
  /** Kept without such a warning, and not what the run without the fault gave. */
  readonly wrong: readonly string[];
}

/**
 * Holds what is in the database to what was committed and to the run without the fault, point by point: the sequence plays the
 * same settings whatever is read.
 *
 * @param nothingTrueFrom_s bench time from which on no reading of channel 1 can be right, whatever it says; null: there is none
 */
export function judge(
  record: RunRecord,
  committed: readonly Reading[],
  truth: RunRecord,
  nothingTrueFrom_s: number | null = null,
): Judged {
  const keptAsCommitted = (reading: Reading) =>
    record.readings.some(
      (kept) =>
        kept.point === reading.point &&
        kept.channel === reading.channel &&
        kept.power_W === reading.power_W &&
        kept.thdn_percent === reading.thdn_percent,
    );
  const warned = record.readings.filter((reading) => isWarned(reading, twinOf(reading, record, truth)));
  const silent = record.readings.filter((reading) => !warned.includes(reading));
  return {
    committed: committed.length,
    kept: record.readings.length,
    lost: committed.filter((reading) => !keptAsCommitted(reading)).length,
    flagged: warned.length,
    wrong: silent.flatMap((reading) => {
      const point = pointOf(reading, record);
      const late = nothingTrueFrom_s !== null && reading.channel === 1 && point.at_s >= nothingTrueFrom_s;
      const fault = late ? 'read of a bench that was not there any more' : differs(reading, record, truth);
      return fault === null ? [] : [`point ${reading.point}, channel ${reading.channel}: ${fault}`];
    }),
  };
}

const pointOf = ({ point }: Reading, { points }: RunRecord): Point =>
  points.find(({ number }) => number === point)!;

/** Whether a reading warns of more than its like in the run without the fault. */
function isWarned({ flags }: Reading, twin: Reading | null): boolean {
  const usual: Flags = twin?.flags ?? [];
  return flags.some((flag) => !usual.includes(flag));
}

/** The reading of the same setting in the run without the fault: same step, tone, channel and level, whichever of them comes nearest. */
function twinOf(reading: Reading, record: RunRecord, truth: RunRecord): Reading | null {
  const { level_dB } = pointOf(reading, record);
  const alike = truth.readings.filter(
    (other) =>
      other.step === reading.step &&
      other.channel === reading.channel &&
      other.frequency_Hz === reading.frequency_Hz,
  );
  const off_dB = (other: Reading) => Math.abs(pointOf(other, truth).level_dB - level_dB);
  return alike.sort((a, b) => off_dB(a) - off_dB(b))[0] ?? null;
}

/** Power against what the fundamental alone would give. */
const shareOf = ({ power_W, fundamental_V, load_measured_ohm }: Reading) =>
  power_W / (fundamental_V ** 2 / load_measured_ohm);

/** How a reading differs from the truth; null when it does not. Power is held against the level that was played. */
function differs(reading: Reading, record: RunRecord, truth: RunRecord): string | null {
  const twin = twinOf(reading, record, truth);
  if (!twin) return `nothing like it in the run without the fault (${reading.step})`;
  // Of the level that was played, a point tells the loudest channel's only; the gain is each channel's own.
  const gain_dB = reading.gain_dB - twin.gain_dB;
  const power_dB = 10 * Math.log10(shareOf(reading) / shareOf(twin)) + gain_dB;
  const thdn_dB = 20 * Math.log10(reading.thdn_percent / twin.thdn_percent);
  if (Math.abs(power_dB) > MOST_POWER_dB) return `power off by ${power_dB.toFixed(3)} dB`;
  if (Math.abs(thdn_dB) > MOST_THDN_dB) return `THD+N off by ${thdn_dB.toFixed(2)} dB`;
  return null;
}

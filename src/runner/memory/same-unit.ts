import type { Reading } from '../../record/run-record.js';
import type { CoherentTone } from '../../signal/coherent-tone.js';
import { decibelsOfPower, decibelsOfVoltage } from '../../units/decibel.js';
import { type DrivenChannel, mostPowerAsked, outputOf } from '../capture/drive.js';
import { findGain } from '../capture/find-gain.js';
import { measurePoint } from '../capture/measure-point.js';
import type { StoredPoint } from '../course/earlier-sessions.js';
import { restIfHot } from '../course/rest.js';
import { RunEnd } from '../course/run-end.js';
import type { StepStage } from '../course/walk.js';
import type { ReadSample } from '../search/crossing-bracket.js';

/** A unit that gives a level this far from what it gave at the same drive is no longer the same, or not set the same. */
const SAME_dB = 0.5;
/** Drives closer than this are the same. */
const LIKE_dB = 0.01;
/** With so much more gain than before, the level of before is not even tried. */
const TOO_MUCH_dB = 1;
/** The gain is probed at this share of the power that is then played, but not in the noise. */
const PROBE_SHARE = 1e-3;
const PROBE_LEAST_W = 0.01;

/**
 * The levels that a search has taken in an earlier session, as asked of channels whose gain was probed anew: by the drive,
 * which is what was really played.
 */
export function storedLevels(
  stored: readonly StoredPoint[],
  channels: readonly DrivenChannel[],
): ReadSample[] {
  return stored.map(({ readings }) => ({
    asked_dBW: decibelsOfPower(mostPowerAsked(channels, outputOf(readings[0]!))),
    readings,
  }));
}

/**
 * Before a step goes on with readings of an earlier session: plays the weakest of them once more, and ends the run when the
 * unit does not give what it gave. Figures of two states of a unit must not become one curve.
 */
export async function requireSameUnit(
  stage: StepStage,
  stored: readonly StoredPoint[],
  tones: readonly CoherentTone[],
): Promise<void> {
  const weakest = [...stored].sort((a, b) => strongest(a) - strongest(b))[0];
  const tone = tones.find(({ nominal_Hz }) => nominal_Hz === weakest?.point.nominal_Hz);
  if (!weakest || !tone) return;
  const power_W = strongest(weakest);
  await restIfHot(stage, power_W, tone);
  const probe_W = Math.min(power_W, Math.max(PROBE_SHARE * power_W, PROBE_LEAST_W));
  const channels = await findGain(stage, tone, probe_W);
  channels.forEach(({ gain }, i) => {
    const before = weakest.readings[i]!;
    const more_dB = decibelsOfVoltage(gain) - before.gain_dB;
    if (more_dB > TOO_MUCH_dB) throw changed(before, more_dB);
  });
  const aim = { tone, outputs_V: weakest.readings.map(outputOf), asked_W: weakest.point.asked_W };
  const { readings } = await measurePoint(stage, aim);
  readings.forEach(({ gain_dB }, i) => {
    const before = weakest.readings[i]!;
    const off_dB = outside(gain_dB, gainsAt(stored, weakest, i));
    if (Math.abs(off_dB) > SAME_dB) throw changed(before, off_dB);
  });
}

/** What one channel's gain was whenever it was read at this tone and drive: in a hold it may have drifted. */
function gainsAt(stored: readonly StoredPoint[], { point, readings }: StoredPoint, index: number): number[] {
  const output_V = outputOf(readings[index]!);
  return stored
    .filter((candidate) => candidate.point.nominal_Hz === point.nominal_Hz)
    .map((candidate) => candidate.readings[index]!)
    .filter((reading) => Math.abs(decibelsOfVoltage(outputOf(reading) / output_V)) < LIKE_dB)
    .map(({ gain_dB }) => gain_dB);
}

/** By how much a value lies above (or, negative, below) all of some others; 0 among them. */
function outside(value: number, others: readonly number[]): number {
  return Math.max(0, value - Math.max(...others)) + Math.min(0, value - Math.min(...others));
}

const strongest = ({ readings }: StoredPoint) => Math.max(...readings.map(({ power_W }) => power_W));

function changed({ step, channel, point }: Reading, off_dB: number): RunEnd {
  const by = `${Math.abs(off_dB).toFixed(2)} dB ${off_dB > 0 ? 'more' : 'less'}`;
  return new RunEnd(
    'not-as-before',
    `${step}, channel ${channel} gives ${by} at the drive of point ${point} than before the interruption; set the unit and its cables as they were, or start a new run`,
  );
}

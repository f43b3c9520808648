import { decibelsOfVoltage, voltageRatio } from '../../units/decibel.js';
import { formatQuantity } from '../../units/format.js';
import {
  type CauseQuestion,
  gainOver_dB,
  type MomentLevel,
  NO_SUSPICION,
  ramp,
  type Suspicion,
  suspicion,
} from './question.js';

/** Small-signal falls below this are nothing to speak of. */
const LEAST_FALL_dB = 0.1;

/**
 * Output filter: outside the feedback it takes the same decibels at any level, so the maximum power falls by what the
 * small-signal response has fallen by. A filter at the input lowers the response but not the maximum power, and is no
 * cause.
 */
export function suspectFilter({
  failing,
  low,
  reference,
  referenceLow,
  otherLoad,
}: CauseQuestion): Suspicion {
  if (!low || !referenceLow || failing.frequency_Hz <= referenceLow.frequency_Hz) return NO_SUSPICION;
  const fall_dB = -gainOver_dB(low, referenceLow);
  if (fall_dB < LEAST_FALL_dB) return NO_SUSPICION;
  const response = `at ${formatQuantity(low.fundamental_V, 'V')} the response has already fallen by ${fall_dB.toFixed(2)} dB from ${formatQuantity(referenceLow.frequency_Hz, 'Hz')}`;
  if (!reference) return { weight: 0.7 * ramp(fall_dB, 0.1, 1), evidence: [response] };
  // Stiff rails would give as many volts into this load as into the other.
  const promised_V = Math.max(reference.fundamental_V, otherLoad?.fundamental_V ?? 0);
  const short_dB = decibelsOfVoltage(promised_V / failing.fundamental_V);
  const share = short_dB > LEAST_FALL_dB ? Math.min(1, fall_dB / short_dB) : 0;
  return {
    weight: share * ramp(fall_dB, 0.1, 0.3),
    evidence: [response, `the maximum power lies ${short_dB.toFixed(2)} dB below the best`],
  };
}

/** A reservoir and a transformer's regulation have settled by then; what moves later is warmth. */
const EARLY_S = 3;
/** An output that gives this much less than the drive asks for is off. */
const GONE_dB = 20;

/** Output off: much less than the small-signal gain asks for, or lost within the record or the hold. */
export function suspectProtection({ failing, low, overTime = [] }: CauseQuestion): Suspicion {
  const evidence: string[] = [];
  if (low && low.fundamental_V > 0 && !(gainOver_dB(failing, low) > -GONE_dB)) {
    const asked_V = (low.fundamental_V / low.drive) * failing.drive;
    evidence.push(
      `the output gives ${formatQuantity(failing.fundamental_V, 'V')} where the gain at low level asks for ${formatQuantity(asked_V, 'V')}`,
    );
  }
  const { vanishes_s } = failing.envelope;
  if (vanishes_s !== null) evidence.push(`the output vanishes ${vanishes_s.toFixed(2)} s into the record`);
  const most_V = Math.max(0, ...overTime.map(({ fundamental_V }) => fundamental_V));
  const gone = overTime.find(({ fundamental_V }) => fundamental_V < most_V * voltageRatio(-GONE_dB));
  if (gone) evidence.push(`the output is gone ${gone.at_s.toFixed(1)} s into the hold`);
  return suspicion(evidence.length > 0 ? 1 : 0, evidence);
}

/** Drift that goes on after all supplies have settled. */
export function suspectHeat({ overTime = [] }: CauseQuestion): Suspicion {
  const late = overTime.filter(({ at_s }) => at_s >= EARLY_S);
  const [first, last] = [late[0], late.at(-1)];
  if (!first || !last || first === last) return NO_SUSPICION;
  const fall_dB = change_dB(last, first);
  const steady = steadiness(late);
  const weight = ramp(fall_dB, 0.01, 0.05) * ramp(steady, 0.5, 0.9);
  const span = last.at_s - first.at_s;
  return suspicion(weight, [
    `the level falls by ${fall_dB.toFixed(2)} dB over ${span.toFixed(0)} s at the same drive, steadily`,
  ]);
}

/** A level that falls in the first moments of a hold and then stands: the supply gives way. */
export function suspectEarlySag({ overTime = [] }: CauseQuestion): Suspicion {
  const [first, settled] = [overTime[0], overTime.find(({ at_s }) => at_s >= EARLY_S)];
  if (!first || !settled || first.at_s >= EARLY_S) return NO_SUSPICION;
  const fall_dB = change_dB(settled, first);
  const rate = fall_dB / Math.max(1e-3, settled.at_s - first.at_s);
  const last = overTime.at(-1)!;
  const later = last.at_s > settled.at_s ? change_dB(last, settled) / (last.at_s - settled.at_s) : 0;
  // Warmth falls at nearly the same rate early and late; a supply does not.
  const early = ramp(rate, 3 * Math.max(later, 0), 6 * Math.max(later, 0.005));
  const weight = ramp(fall_dB, 0.05, 0.2) * early;
  return suspicion(weight, [
    `the level falls by ${fall_dB.toFixed(2)} dB within the first ${settled.at_s.toFixed(1)} s`,
  ]);
}

/** Fall of the level from one moment to a later one. */
function change_dB(later: MomentLevel, earlier: MomentLevel): number {
  return decibelsOfVoltage(earlier.fundamental_V / later.fundamental_V);
}

/** Net fall over the sum of all movements: 1 for a steady fall, near 0 for wandering. */
function steadiness(levels: readonly MomentLevel[]): number {
  let path = 0;
  for (let i = 1; i < levels.length; i += 1) path += Math.abs(change_dB(levels[i]!, levels[i - 1]!));
  return path > 0 ? change_dB(levels.at(-1)!, levels[0]!) / path : 0;
}

import { decibelsOfVoltage } from '../../units/decibel.js';
import { formatQuantity } from '../../units/format.js';
import { type CauseQuestion, gainOver_dB, NO_SUSPICION, ramp, type Suspicion } from './question.js';

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

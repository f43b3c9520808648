import { asTold, inputError } from '../errors/error-table.js';

/**
 * A test frequency with a whole number of cycles in its record and no factor in common with the
 * record length: frequency_Hz = cycles * rate_Hz / frames.
 */
export interface CoherentTone {
  readonly nominal_Hz: number;
  readonly frequency_Hz: number;
  readonly cycles: number;
  /** Record length, a power of two. */
  readonly frames: number;
  readonly rate_Hz: number;
}

/** The asked frequency cannot be played at this rate. */
export const FrequencyOutOfRange = inputError('FREQUENCY_OUT_OF_RANGE', asTold);

/** A record holds at least this many cycles, so that harmonics stand clear of DC and of each other. */
const MINIMUM_CYCLES = 25;
/** ... and at least this long, so that a noise reading repeats to a fraction of a percent. */
const MINIMUM_SECONDS = 0.65;
const LONGEST_RECORD = 2 ** 22;

/**
 * Record length for a frequency: the least power of two that holds 25 cycles and 0.65 s.
 * At 48 kHz that is 32 768 frames for 1 kHz and 65 536 for 20 Hz.
 */
export function recordFrames(nominal_Hz: number, rate_Hz: number): number {
  const wanted = Math.max((MINIMUM_CYCLES * rate_Hz) / nominal_Hz, MINIMUM_SECONDS * rate_Hz);
  return Math.min(2 ** Math.ceil(Math.log2(wanted)), LONGEST_RECORD);
}

/**
 * The coherent frequency nearest to a nominal one (IEEE 1057 / IEEE 1241 coherent sampling: f = J fs / N,
 * J and N without a common factor, so an odd J for a power-of-two N).
 *
 * @param nominal_Hz asked frequency, above 0 and below half the rate
 * @param edge `low` or `high` when the frequency is the lower or upper end of a band: the result then
 *   never lies inside the band
 * @param minimumFrames a longer record than the frequency itself needs
 * @throws FrequencyOutOfRange
 */
export function coherentTone(asked: {
  nominal_Hz: number;
  rate_Hz: number;
  edge?: 'low' | 'high';
  minimumFrames?: number;
}): CoherentTone {
  const { nominal_Hz, rate_Hz, edge, minimumFrames = 0 } = asked;
  if (!(nominal_Hz > 0 && nominal_Hz < rate_Hz / 2)) {
    throw new FrequencyOutOfRange({
      what: `a tone of ${nominal_Hz} Hz cannot be played at ${rate_Hz} samples per second`,
      mend: `Frequencies lie above 0 Hz and below half the rate, ${rate_Hz / 2} Hz`,
    });
  }
  const own = recordFrames(nominal_Hz, rate_Hz);
  const frames = Math.max(own, minimumFrames > 0 ? 2 ** Math.ceil(Math.log2(minimumFrames)) : 0);
  const cycles = oddNear((nominal_Hz * frames) / rate_Hz, edge, frames / 2 - 1);
  return { nominal_Hz, frequency_Hz: (cycles * rate_Hz) / frames, cycles, frames, rate_Hz };
}

/** The odd whole number nearest to x, not above it for a low edge, not below it for a high one. */
function oddNear(x: number, edge: 'low' | 'high' | undefined, most: number): number {
  // A frequency that is a whole odd number of cycles up to rounding is its own edge.
  const slack = 1e-9 * Math.max(x, 1);
  const below = 2 * Math.floor((x + slack - 1) / 2) + 1;
  const above = 2 * Math.ceil((x - slack - 1) / 2) + 1;
  const nearest = x - below <= above - x ? below : above;
  const chosen = edge === 'low' ? below : edge === 'high' ? above : nearest;
  const mostOdd = most % 2 === 1 ? most : most - 1;
  return Math.min(Math.max(chosen, 1), mostOdd);
}

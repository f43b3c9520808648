import { fitHarmonics } from './harmonic-fit.js';

/** What one look at an output saw, in any unit. */
export interface Look {
  readonly fundamental_rms: number;
  /** Everything but the fundamental and DC. */
  readonly residue_rms: number;
}

/** Looks agree when the level has moved less than this (0.009 dB) ... */
const LEVEL = 1e-3;
/** ... and the residue less than this. White noise over half a record moves it by about half a percent. */
const RESIDUE = 0.05;
/** Residue below this part of the level is rounding and may move as it likes. */
const LEAST_RESIDUE = 1e-7;
/** Multiples of the level's own uncertainty under the residue that are chance. */
const BEYOND_CHANCE = 5;
/** Harmonics fitted along, so that a half record of x.5 cycles does not mistake them for level. */
const ORDERS = 5;

/** Whether two successive looks show the same output: same level, same residue, as far as the noise lets one tell. */
export function looksAgree(earlier: Look, later: Look, frames: number): boolean {
  const level = Math.max(earlier.fundamental_rms, later.fundamental_rms);
  const residue = Math.max(earlier.residue_rms, later.residue_rms);
  const chance = (BEYOND_CHANCE * residue) / Math.sqrt(frames);
  const levelMoved = Math.abs(earlier.fundamental_rms - later.fundamental_rms);
  const residueMoved = Math.abs(earlier.residue_rms - later.residue_rms);
  return (
    levelMoved <= Math.max(LEVEL * level, chance) &&
    residueMoved <= Math.max(RESIDUE * residue, LEAST_RESIDUE * level, chance)
  );
}

/** A quick look at a stretch of a tone whose frequency is known. */
export function lookAt(samples: Float64Array, cyclesPerSample: number): Look {
  const highest = Math.max(1, Math.min(ORDERS, Math.floor(0.49 / cyclesPerSample)));
  const { orders, residue } = fitHarmonics(samples, cyclesPerSample, highest);
  const powers = orders.map(({ cosine, sine }) => (cosine * cosine + sine * sine) / 2);
  const noise = residue.reduce((sum, x) => sum + x * x, 0) / samples.length;
  return {
    fundamental_rms: Math.sqrt(powers[0]!),
    residue_rms: Math.sqrt(powers.slice(1).reduce((sum, power) => sum + power, noise)),
  };
}

/**
 * Whether two halves of a record show the same output, so that it has settled. DC that still creeps shows
 * as a difference of the residue only as far as it moves within a half.
 */
export function halvesAgree(
  earlier: Float64Array,
  later: Float64Array,
  tone: { readonly cycles: number; readonly frames: number },
): boolean {
  const cyclesPerSample = tone.cycles / tone.frames;
  return looksAgree(lookAt(earlier, cyclesPerSample), lookAt(later, cyclesPerSample), earlier.length);
}

import { defaultBand } from './default-band.js';
import { fitHarmonics } from './harmonic-fit.js';
import { bandPowers } from './parts.js';

/** What one look at an output saw, in any unit. */
export interface QuickReading {
  readonly fundamental_rms: number;
  /** Everything but the fundamental and DC. */
  readonly residue_rms: number;
}

/** Captures agree when the level has moved less than this (0.009 dB) ... */
const LEVEL = 1e-3;
/** ... and the residue less than this. White noise over half a record moves it by about half a percent. */
const RESIDUE = 0.05;
/** Residue below this part of the level is rounding and may move as it likes. */
const LEAST_RESIDUE = 1e-7;
/** Multiples of the level's own uncertainty under the residue that are chance. */
const BEYOND_CHANCE = 5;
/** Harmonics fitted along, so that a half record of x.5 cycles does not mistake them for level. */
const ORDERS = 5;

/** Whether two successive captures show the same output: same level, same residue, as far as the noise lets one tell. */
export function quickReadingsAgree(earlier: QuickReading, later: QuickReading, frames: number): boolean {
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

/** The tone that was played; its record holds the two halves. */
export interface PlayedTone {
  readonly cycles: number;
  readonly frames: number;
  readonly rate_Hz: number;
}

/**
 * Quick looks at stretches of like length of a tone whose frequency is known: fundamental and low harmonics by
 * fit, noise inside the default band, so that a drift of DC counts only as far as a reading would see it.
 */
export function quickReadings(stretches: readonly Float64Array[], tone: PlayedTone): QuickReading[] {
  const cyclesPerSample = tone.cycles / tone.frames;
  const band = defaultBand(cyclesPerSample * tone.rate_Hz, tone.rate_Hz);
  const highest = Math.max(1, Math.min(ORDERS, Math.floor(0.49 / cyclesPerSample)));
  const fits = stretches.map((samples, i) =>
    fitHarmonics(samples, cyclesPerSample, highest, residueBuffer(i, samples.length)),
  );
  const noises = bandPowers(
    fits.map((fit) => fit.residue),
    band,
    tone.rate_Hz,
  );
  return fits.map(({ orders }, i) => {
    const [fundamental = 0, ...harmonics] = orders.map(({ cosine, sine }) => (cosine ** 2 + sine ** 2) / 2);
    const residue = harmonics.reduce((total, power) => total + power, noises[i]!);
    return { fundamental_rms: Math.sqrt(fundamental), residue_rms: Math.sqrt(residue) };
  });
}

/** Buffers for the residue of each stretch, used again each time: nobody keeps one. */
const residueBuffers: Float64Array[] = [];

function residueBuffer(stretch: number, frames: number): Float64Array {
  const known = residueBuffers[stretch];
  if (known?.length === frames) return known;
  const buffer = new Float64Array(frames);
  residueBuffers[stretch] = buffer;
  return buffer;
}

/** How one half of a record compares with the other. */
export interface Settling {
  readonly settled: boolean;
  /** By which share of themselves level and residue differ between the halves; 0 for what is not there. */
  readonly level: number;
  readonly residue: number;
}

/** Whether two halves of a record show the same output, so that it has settled, and what still moved. */
export function settlingOf(earlier: Float64Array, later: Float64Array, tone: PlayedTone): Settling {
  const [before, after] = quickReadings([earlier, later], tone);
  return {
    settled: quickReadingsAgree(before!, after!, earlier.length),
    level: shareMoved(before!.fundamental_rms, after!.fundamental_rms),
    residue: shareMoved(before!.residue_rms, after!.residue_rms),
  };
}

function shareMoved(before: number, after: number): number {
  const mean = (before + after) / 2;
  return mean > 0 ? Math.abs(after - before) / mean : 0;
}

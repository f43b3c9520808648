import { levelOf } from '../level.js';
import { envelopeOf, type LevelCourse } from './envelope.js';
import { type FoldTone, foldCycle } from './fold.js';
import { type Ripple, rippleOf } from './ripple.js';
import { fitShape, type Shape } from './shape-fit.js';
import { harmonicsOf, MOST_ORDER } from './shape-templates.js';
import { crossingShare, type Slope, slopeOf, type Tops, topsOf } from './tops.js';

/** What `evidenceOf` must be told about a capture. */
export interface EvidenceContext {
  /** Load volts for a sample value of 1.0 (`loadVoltsPerUnit`). */
  readonly voltsPerUnit: number;
  /** Resistance of the load as measured, and what its label says. */
  readonly load_ohm: number;
  /**
   * Level that was played, in any linear unit that all captures of one question share: digital peak, or output
   * volts.
   */
  readonly drive: number;
}

/** What one capture tells about the limits of the unit, in volts at the load. */
export interface PointEvidence {
  readonly frequency_Hz: number;
  readonly load_ohm: number;
  readonly drive: number;
  /** Rms of the fundamental. */
  readonly fundamental_V: number;
  /**
   * Highest harmonic that lies inside what the converter passes, at most 25; below 3 the shape of the wave
   * cannot be seen.
   */
  readonly highestOrder: number;
  /** Rms of the harmonics that were looked at, over that of the fundamental. */
  readonly distortion: number;
  /** Rms of all that does not repeat with the tone. */
  readonly unsteady_V: number;
  /** Heights in volts. */
  readonly tops: Tops;
  /** Volts per second. */
  readonly slope: Slope;
  /** Share of the residue's power near the zero crossings (0.19 when spread evenly). */
  readonly crossing: number;
  /**
   * Null when not even the third harmonic lies inside what the converter passes, or there is no distortion to
   * look at.
   */
  readonly shape: Shape | null;
  readonly ripple: Ripple;
  readonly envelope: LevelCourse;
}

/** Share of the rate up to which the converters' filters leave harmonics alone, in size and in phase. */
const PASSED = 0.4;
/** Harmonic power must stand this far above what the noise alone would give. */
const ABOVE_NOISE = 10;

/**
 * Gathers from one capture all that `causeOf` weighs.
 *
 * @param samples one channel, digital full scale = 1.0; a record of a steady tone, settled or not
 * @param tone what was played: `cycles` in `frames`, at `rate_Hz`
 * @throws NonFiniteSamples
 */
export function evidenceOf(samples: Float64Array, tone: FoldTone, context: EvidenceContext): PointEvidence {
  levelOf(samples);
  const volts = samples.map((x) => x * context.voltsPerUnit);
  const folded = foldCycle(volts, tone);
  const { cycle, amplitude, dc, residue, cyclesPerSample } = folded;
  const frequency_Hz = cyclesPerSample * tone.rate_Hz;
  const unsteady = residue.reduce((sum, x) => sum + x * x, 0) / Math.max(1, residue.length);
  const highest = Math.min(MOST_ORDER, Math.floor((PASSED * tone.rate_Hz) / frequency_Hz));
  const harmonics = harmonicsOf(cycle, Math.max(2, highest));
  const power = harmonics.re.reduce((sum, re, i) => sum + re ** 2 + harmonics.im[i]! ** 2, 0);
  // Each order picks up 4 / N of the mean square in its peak squared.
  const chance = amplitude > 0 ? (4 * unsteady * (highest - 1)) / (samples.length * amplitude ** 2) : 1;
  const telling = highest >= 3 && power > ABOVE_NOISE * chance;
  const centred = cycle.map((v) => v - dc);
  return {
    frequency_Hz,
    load_ohm: context.load_ohm,
    drive: context.drive,
    fundamental_V: amplitude / Math.SQRT2,
    highestOrder: highest,
    distortion: Math.sqrt(power),
    unsteady_V: Math.sqrt(unsteady),
    tops: topsOf(centred),
    slope: slopeOf(centred, frequency_Hz),
    crossing: crossingShare(cycle, amplitude, dc),
    shape: telling ? fitShape(harmonics) : null,
    ripple: rippleOf(folded, tone.rate_Hz),
    envelope: envelopeOf(volts, cyclesPerSample, tone.rate_Hz),
  };
}

/** What one channel shows where it is stopped, and 20 dB below that. */
export interface EvidencePair {
  readonly failing: PointEvidence;
  readonly low: PointEvidence;
}

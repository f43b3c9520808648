import { fitFrequency, type HarmonicFit, phaseAtStart } from './harmonic-fit.js';

/** A constant and a cosine: `dc + amplitude cos(2 pi cyclesPerSample n + phase_rad)`. */
export interface Sine {
  readonly cyclesPerSample: number;
  readonly amplitude: number;
  /** Phase at the first sample, -pi to pi. */
  readonly phase_rad: number;
  readonly dc: number;
  /** Rms of what the fit leaves over. */
  readonly residue_rms: number;
}

/**
 * Four-parameter sine fit of IEEE Std 1057: the frequency is found as well.
 *
 * @param guess frequency over rate, within about half a cycle per record of the truth
 */
export function sineFit4(samples: Float64Array, guess: number): Sine {
  return sineOf(fitFrequency(samples, guess, 1));
}

function sineOf(fit: HarmonicFit): Sine {
  const { cosine, sine } = fit.orders[0]!;
  const squares = fit.residue.reduce((sum, x) => sum + x * x, 0);
  return {
    cyclesPerSample: fit.cyclesPerSample,
    amplitude: Math.hypot(cosine, sine),
    phase_rad: phaseAtStart(fit, 1, fit.residue.length),
    dc: fit.dc,
    residue_rms: Math.sqrt(squares / fit.residue.length),
  };
}

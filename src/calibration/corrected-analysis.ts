import type { ChannelAnalysis } from '../measure/analysis.js';
import { distortionOf } from '../measure/parts.js';
import { voltageRatio } from '../units/decibel.js';
import { type Response, responseAt } from './response.js';

/**
 * An analysis as it would be had the chain the same level at all frequencies that it has at 1 kHz: the fundamental and
 * each harmonic are divided by the chain's response at their own frequency, and rms, distortion figures and crest
 * factor follow from them by their definitions.
 *
 * Noise is left as it is, since nobody knows how it is spread; so are peak and DC. A channel without a tone stays as it
 * is.
 *
 * @param response null: none was recorded, nothing is corrected
 */
export function correctedAnalysis(analysis: ChannelAnalysis, response: Response | null): ChannelAnalysis {
  if (response === null || analysis.fundamental_rms === 0) return analysis;
  const corrected = (rms: number, frequency_Hz: number) =>
    rms / voltageRatio(responseAt(response, frequency_Hz).level_dB);
  const fundamental_rms = corrected(analysis.fundamental_rms, analysis.fundamental_Hz);
  const harmonics = analysis.harmonics.map((harmonic) => ({
    ...harmonic,
    rms: corrected(harmonic.rms, harmonic.frequency_Hz),
  }));
  const figures = distortionOf(fundamental_rms, harmonics, analysis.noise_rms);
  return {
    ...analysis,
    ...figures,
    fundamental_rms,
    harmonics,
    crest_factor: (analysis.crest_factor * analysis.rms) / figures.rms,
  };
}

import { setImmediate as yieldToOthers } from 'node:timers/promises';
import { analyseWith } from '../../measure/analyse.js';
import type { Band, ChannelAnalysis } from '../../measure/analysis.js';
import { type DrawableSpectrum, drawableSpectrum } from '../../measure/drawable-spectrum.js';
import type { CoherentTone } from '../../signal/coherent-tone.js';

/** What a record holds, and its spectrum for drawing; null when there is nothing to draw. */
export interface DrawnAnalysis extends ChannelAnalysis {
  readonly drawn: DrawableSpectrum | null;
}

/**
 * Analyses two channels at a time, which is what shares a transform, and lets others have their turn in
 * between: a sound bench must be fed while this goes on.
 *
 * @param channels one record of the tone per channel
 * @param band null: the default for the tone
 */
export async function analyseByPairs(
  channels: readonly Float64Array[],
  tone: CoherentTone,
  band: Band | null,
): Promise<DrawnAnalysis[]> {
  const options = { rate_Hz: tone.rate_Hz, band, frequency_Hz: tone.frequency_Hz, tone, gaps: true };
  const analyses: DrawnAnalysis[] = [];
  for (let i = 0; i < channels.length; i += 2) {
    const pair = channels.slice(i, i + 2);
    const drawn = analyseWith(pair, options, (analysis, known, n) => {
      const drawing = { rate_Hz: tone.rate_Hz, fundamental_Hz: analysis.fundamental_Hz, known };
      return { ...analysis, drawn: drawableSpectrum(pair[n]!, drawing) };
    });
    analyses.push(...drawn);
    await yieldToOthers();
  }
  return analyses;
}

import { setImmediate as breathe } from 'node:timers/promises';
import { analyse } from '../measure/analyse.js';
import type { Band, ChannelAnalysis } from '../measure/analysis.js';
import type { CoherentTone } from '../stimulus/coherent-tone.js';

/**
 * Analyses two channels at a time, which is what shares a transform, and lets the program breathe in
 * between: a sound bench must be fed while this goes on.
 *
 * @param channels one record of the tone per channel
 * @param band null: the default for the tone
 */
export async function analyseByPairs(
  channels: readonly Float64Array[],
  tone: CoherentTone,
  band: Band | null,
): Promise<ChannelAnalysis[]> {
  const options = { rate_Hz: tone.rate_Hz, band, frequency_Hz: tone.frequency_Hz, tone, gaps: true };
  const analyses: ChannelAnalysis[] = [];
  for (let i = 0; i < channels.length; i += 2) {
    analyses.push(...analyse(channels.slice(i, i + 2), options));
    await breathe();
  }
  return analyses;
}

import type { Gap } from '../../measure/analysis.js';
import { findGaps } from '../../measure/gaps.js';
import { gapsByStimulus } from '../../measure/gaps-by-stimulus.js';
import { partsOf } from '../../safety/windows.js';
import type { Stimulus } from '../../signal/stimulus.js';

/**
 * Breaks in a record of a stimulus: by the continuity of the tone where a single line plays on and on, by the stimulus itself
 * where there are several lines or bursts. Silence has nothing that could break.
 *
 * @param from source frame of the first sample
 */
export function breaksIn(samples: Float64Array, of: Stimulus, from: number): Gap[] {
  const lines = of.lines.map(({ tone }) => tone.cycles / tone.frames);
  const [only] = lines;
  if (only === undefined) return [];
  if (lines.length === 1 && of.envelope.kind === 'steady') return findGaps(samples, only);
  const standing = partsOf(of, of.rate_Hz, from, samples.length).filter(({ kind }) => kind === 'on');
  return gapsByStimulus(samples, lines, standing);
}

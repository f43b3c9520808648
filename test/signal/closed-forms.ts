import { gateOf } from '../../src/signal/envelope.js';
import { rmsShare, SINE_CREST, type Stimulus } from '../../src/signal/stimulus.js';

/** Peak over rms of what sounds. */
export const crestFactor = (of: Stimulus): number => SINE_CREST / rmsShare(of);

/**
 * Closed bound of the step from one sample to the next at a standing peak of one. A sine moves by 2 sin(pi f / fs) at most;
 * an edge of E frames, a raised cosine, by sin(pi / 2 E).
 */
export function largestStep({ lines, envelope, rate_Hz }: Stimulus): number {
  const gate = gateOf(envelope, rate_Hz);
  const sines = lines.map(({ tone, share }) => 2 * share * Math.sin((Math.PI * tone.cycles) / tone.frames));
  return sines.reduce((sum, step) => sum + step, gate ? Math.sin(Math.PI / (2 * gate.edge)) : 0);
}

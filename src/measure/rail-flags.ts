import { voltageRatio } from '../units/decibel.js';
import type { FlagCode } from './flags.js';

/** One decibel below digital full scale. */
const NEAR_RAIL = voltageRatio(-1);
/** Within half a step of 14 bits of it: at the rail. */
const AT_RAIL = 1 - 2 ** -14;
/** So many samples in a row at the rail are a top that is cut off. */
const CUT_OFF = 4;

/** What samples in digital units, full scale = 1, tell of the converter that took them. */
export function railFlags(samples: Float64Array): FlagCode[] {
  let [peak, run, longest] = [0, 0, 0];
  for (let n = 0; n < samples.length; n += 1) {
    const size = Math.abs(samples[n]!);
    if (size > peak) peak = size;
    run = size >= AT_RAIL ? run + 1 : 0;
    if (run > longest) longest = run;
  }
  return [
    ...(longest >= CUT_OFF ? (['clipped-capture'] as const) : []),
    ...(peak >= NEAR_RAIL ? (['near-input-rail'] as const) : []),
  ];
}

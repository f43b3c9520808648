import { quantity } from '../schema/fields.js';

/** Samples per second, for both directions. */
export const rate = quantity('Hz', { min: 8000, max: 768_000 }).refine(
  (rate_Hz) => Number.isInteger(rate_Hz),
  'a sample rate is a whole number of hertz; write it out, as in 44.1 kHz',
);

/** Limits within which the interface's clock is right. */
export const clock = quantity('ppm', { min: 0, max: 10_000 }).optional();

import { z } from 'zod';
import { channel, figure, type Read } from '../record/schema/fields.js';

const spectrum = z
  .strictObject({ channel, frequency_Hz: z.array(figure).max(10_000), level_dB: z.array(figure).max(10_000) })
  .refine(
    ({ frequency_Hz, level_dB }) => frequency_Hz.length === level_dB.length,
    'a spectrum has as many levels as frequencies',
  );

/** The spectra of one point, which would be most of a run: each point's are a document of their own. */
export const spectraSchema = z.array(spectrum).max(4096);

export type PackedSpectra = Read<typeof spectraSchema>;

import { z } from 'zod';
import { quantity } from './fields.js';
import { YamlDocument } from './yaml-document.js';

/** What a sequence asks: how much power, whether a unit is fit for use, or whether it keeps a claim. */
export const ASKS = ['power', 'fit-for-use', 'claim'] as const;
export type Asks = (typeof ASKS)[number];

/** Protocols with conditions of their own, which a run can be held against. */
export const PROTOCOLS = ['us-trade-rule'] as const;
export type Protocol = (typeof PROTOCOLS)[number];

const volts = quantity('V', { positive: true, max: 100 });

/** Limits of a check, each for every channel. */
export const checksSchema = z.strictObject({
  /** At the outputs, with nothing playing. */
  dc: volts.optional(),
  /** Hum and noise with nothing playing, rms. */
  noise: volts.optional(),
  /** THD+N at the lowest level that was played at 1 kHz, where a crossover shows best. */
  residual: quantity('%', { positive: true, max: 100 }).optional(),
  /** Largest difference of gain between channels. */
  match: quantity('dB', { positive: true, max: 60 }).optional(),
  /** To be reached with no more than `distortion`. */
  power: quantity('W', { positive: true }).optional(),
  distortion: quantity('%', { positive: true, max: 100 }).optional(),
});
export type Checks = z.output<typeof checksSchema>;

/** Keys in the header of a sequence file that say what it is for. */
export const purposeFields = {
  asks: z.enum(ASKS).optional(),
  protocol: z.enum(PROTOCOLS).optional(),
  checks: checksSchema.optional(),
};

const purposeSchema = z.looseObject(purposeFields);
export interface Purpose {
  readonly asks?: Asks | undefined;
  readonly protocol?: Protocol | undefined;
  readonly checks?: Checks | undefined;
}

/** What the stored text of a sequence says that it is for. A text of another version, or none, says nothing. */
export function purposeOf(text: string): Purpose {
  try {
    const read = purposeSchema.safeParse(new YamlDocument(text, 'sequence').data);
    return read.success ? read.data : {};
  } catch {
    return {};
  }
}

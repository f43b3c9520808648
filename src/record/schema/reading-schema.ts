import { z } from 'zod';
import { channel, channels, code, count, figure, maybe, name, number } from './fields.js';

/** Kinds of step that play points. */
export type PlayedKind = 'climb' | 'sweep' | 'max-power' | 'hold' | 'warm-up';

declare const unknown: unique symbol;
/** The name of something that this version does not know: to be shown, and for nothing else. */
export type UnknownName = string & { readonly [unknown]: true };

const pointNumber = z.int().min(1).max(1e9);

/** One setting: a frequency, a level, a set of driven channels, a load. */
export const pointSchema = z.strictObject({
  /** From 1, in the order played. */
  number: pointNumber,
  step: name,
  stepKind: code as unknown as z.ZodType<PlayedKind | UnknownName>,
  nominal_Hz: number,
  frequency_Hz: number,
  driven: channels,
  load_ohm: number,
  /** Mains voltage that the operator had set; null: as it came. */
  mains_V: number.nullable(),
  /** Cell of a repetition, in words; empty outside of any. */
  cell: name,
  /** Generator level of the loudest driven channel, dB below digital full scale (0 = full scale). */
  level_dB: number,
  /** What was asked for, null while the unit's gain is not known yet. */
  asked_W: number.nullable(),
  /** Seconds on the bench's clock since the run began. */
  at_s: number,
});

const harmonic = z.strictObject({ order: z.int().min(2).max(1000), frequency_Hz: figure, rms: figure });

/** What one channel gave at one point, as it travels: without its spectrum, and without the file of its capture. */
export const readingSchema = z.strictObject({
  point: pointNumber,
  step: name,
  channel,
  frequency_Hz: figure,
  load_ohm: number,
  /** Resistance that the power was computed with: as measured, corrected for the load's warmth. */
  load_measured_ohm: figure,
  power_W: figure,
  /** Expanded, for 95.45 % (k = 2, or more by the degrees of freedom); null when some part of the chain states none. */
  uncertainty_W: maybe,
  voltage_V: figure,
  /** Expanded; null when some part of the chain states none, and in runs made before it was kept. */
  voltage_uncertainty_V: maybe,
  /** Rms current through the load by the current shunt, and the ohms that it shows; null without such a tap. */
  current_A: maybe,
  load_seen_ohm: maybe,
  fundamental_V: figure,
  noise_V: figure,
  dc_V: figure,
  peak_V: figure,
  crest_factor: figure,
  thd_percent: maybe,
  thdr_percent: maybe,
  thdn_percent: figure,
  /** Expanded, in percent of the total as THD+N itself; null as above. */
  thdn_uncertainty_percent: maybe,
  sinad_dB: figure,
  harmonics: z.array(harmonic).max(1000).refine(differentOrders, 'each order stands once'),
  harmonics_in_band: count,
  band_Hz: z.tuple([figure, figure]),
  /** Load volts divided by interface output volts, in dB. */
  gain_dB: figure,
  method: z.enum(['coherent', 'fitted']),
  flags: z.array(code).max(64),
  gaps: z.array(z.strictObject({ frame: count, slip_frames: maybe })).max(100_000),
});

function differentOrders(harmonics: readonly { readonly order: number }[]): boolean {
  return new Set(harmonics.map(({ order }) => order)).size === harmonics.length;
}

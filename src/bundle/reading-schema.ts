import { z } from 'zod';
import type { DrawnSpectrum, PlayedKind, Point, Reading } from '../record/run-record.js';
import { channel, channels, code, count, figure, maybe, name, number } from '../record/schema/fields.js';

const point = {
  number: z.int().min(1).max(1e9),
  step: name,
  // Those of a later version are shown by their names.
  stepKind: code as unknown as z.ZodType<Point['stepKind']>,
  nominal_Hz: number,
  frequency_Hz: number,
  driven: channels,
  load_ohm: number,
  mains_V: number.nullable(),
  cell: name,
  level_dB: number,
  asked_W: number.nullable(),
  at_s: number,
};

export const pointSchema: z.ZodType<Point> = z.strictObject(point);

/** A point as version 0.1 wrote it. */
export const oldPointSchema: z.ZodType<OldPoint> = z.strictObject({
  ...point,
  stepKind: z.enum(['climb', 'sweep', 'ceiling', 'hold', 'warm-up']),
});

/** What is now called `max-power` was a `ceiling`. */
export type OldPoint = Omit<Point, 'stepKind'> & {
  readonly stepKind: Exclude<PlayedKind, 'max-power'> | 'ceiling';
};

/** The spectra of one point, which would be most of a run: each point's are a document of their own. */
export type PackedSpectra = readonly (DrawnSpectrum & { readonly channel: number })[];

const spectrum: z.ZodType<PackedSpectra[number]> = z
  .strictObject({ channel, frequency_Hz: z.array(figure).max(10_000), level_dB: z.array(figure).max(10_000) })
  .refine(
    ({ frequency_Hz, level_dB }) => frequency_Hz.length === level_dB.length,
    'a spectrum has as many levels as frequencies',
  );

export const spectraSchema: z.ZodType<PackedSpectra> = z.array(spectrum).max(4096);

/** A reading as it travels: its spectrum is a document of its own, and the name of its capture's file is left behind, since that belongs to a database. */
export type PackedReading = Omit<Reading, 'capture' | 'spectrum' | 'flags' | 'unknown_flags'> & {
  readonly flags: readonly string[];
};

export const readingSchema: z.ZodType<PackedReading> = z.strictObject({
  point: z.int().min(1).max(1e9),
  step: name,
  channel,
  frequency_Hz: figure,
  load_ohm: number,
  load_measured_ohm: figure,
  power_W: figure,
  uncertainty_W: maybe,
  voltage_V: figure,
  voltage_uncertainty_V: maybe,
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
  thdn_uncertainty_percent: maybe,
  sinad_dB: figure,
  harmonics: z
    .array(z.strictObject({ order: z.int().min(2).max(1000), frequency_Hz: figure, rms: figure }))
    .max(1000)
    .refine(differentOrders, 'each order stands once'),
  harmonics_in_band: count,
  band_Hz: z.tuple([figure, figure]),
  gain_dB: figure,
  method: z.enum(['coherent', 'fitted']),
  flags: z.array(code).max(64),
  gaps: z.array(z.strictObject({ frame: count, slip_frames: maybe })).max(100_000),
});

function differentOrders(harmonics: readonly { readonly order: number }[]): boolean {
  return new Set(harmonics.map(({ order }) => order)).size === harmonics.length;
}

import { z } from 'zod';
import { fullScale, label, prose, quantity, readerField, whole } from '../schema/fields.js';
import { formatQuantity } from '../units/format.js';
import { ACCURACY_EXAMPLE, parseAccuracy } from './accuracy.js';
import type { RecordKind } from './chain.js';

/*
 * The calibration record as written: every key, its unit and its limits. calibration/README.md says what each means.
 * What two keys must be to each other is checked in record-faults.ts.
 */

/**
 * Least and most peak volts that a converter can have at full scale: wide enough for any line or microphone
 * input, narrow enough to catch millivolts written for volts. Common practice, no source.
 */
const LEAST_FULL_SCALE_Vpk = 0.01;
const MOST_FULL_SCALE_Vpk = 1000;

/** A day that the calendar has, written year-month-day. */
const day = z
  .string()
  .refine(
    (text) => /^\d{4}-\d{2}-\d{2}$/.test(text) && new Date(`${text}T00:00:00Z`).toJSON()?.startsWith(text),
    'not a day; write year-month-day, as in 2026-03-01',
  );

const circumstances = {
  instrument: label().optional(),
  serial: label().optional(),
  by: label().optional(),
  date: day.optional(),
  due: day.optional(),
  temperature: quantity('degC', { min: -50, max: 500 }).optional(),
  notes: prose().optional(),
  bench: label().optional(),
  // Compared with the text before anything else is looked at.
  seal: z.unknown().optional(),
};

const percentage = quantity('%', { min: 0, max: 100 }).optional();

/** @param unit of what the meter shows */
const basis = (unit: 'V' | 'ohm') => ({
  uncertainty: percentage,
  freedom: z.number().min(1).max(1e9).optional(),
  accuracy: readerField(parseAccuracy, ACCURACY_EXAMPLE, 'give the unit').optional(),
  resolution: quantity(unit, { positive: true, max: 1e6 }).optional(),
  reading: quantity(unit, { positive: true, max: 1e6 }).optional(),
  linearity: percentage,
  stability: percentage,
});

const channel = whole(1, 64);

/** What converters stand for at full scale, within what there is; gives peak volts. */
export function plausibleFullScale() {
  const refuse = (limit_Vpk: number, side: string) =>
    `no converter has so ${side} at full scale; expected ${side === 'little' ? 'at least' : 'at most'} ${formatQuantity(
      limit_Vpk,
      'V',
      { trim: true },
    )} peak: was another prefix meant?`;
  return fullScale()
    .refine((value) => value >= LEAST_FULL_SCALE_Vpk, refuse(LEAST_FULL_SCALE_Vpk, 'little'))
    .refine((value) => value <= MOST_FULL_SCALE_Vpk, refuse(MOST_FULL_SCALE_Vpk, 'much'));
}

const ofChannel = { channel, ...circumstances };

/** A record of one value and nothing else. @param unit of what the meter shows */
const valued = <Kind extends RecordKind, T>(kind: Kind, value: z.ZodType<T>, unit: 'V' | 'ohm') =>
  z.strictObject({ kind: z.literal(kind), value, ...basis(unit), ...ofChannel });

const load = z.strictObject({
  kind: z.literal('load'),
  nominal: quantity('ohm', { min: 0.1, max: 10_000 }),
  value: quantity('ohm', { min: 0.01, max: 100_000 }),
  tempco: quantity('1/K', { min: -0.01, max: 0.01 }).optional(),
  heating: quantity('K/W', { min: 0, max: 1000 }).optional(),
  warming_limits: quantity('1', { min: 0, max: 1 }).optional(),
  inductance: quantity('H', { min: 0, max: 0.1 }).optional(),
  ...basis('ohm'),
  ...ofChannel,
});

const MOST_POINTS = 2000;
const frequency = quantity('Hz', { min: 0.1, max: 400_000 });

const floor = z.strictObject({
  kind: z.literal('floor'),
  value: quantity('%', { positive: true, max: 100 }).optional(),
  points: z
    .array(
      z.strictObject({
        frequency,
        level: quantity('dB', { min: -200, max: 0 }),
        thdn: quantity('%', { positive: true, max: 100 }),
      }),
    )
    .min(1)
    .max(MOST_POINTS)
    .optional(),
  noise: quantity('V', { positive: true, max: 10 }).optional(),
  ...circumstances,
});

const response = z.strictObject({
  kind: z.literal('response'),
  points: z
    .array(
      z.strictObject({
        frequency,
        level: quantity('dB', { min: -60, max: 20 }),
        uncertainty: quantity('dB', { min: 0, max: 10 }),
      }),
    )
    .min(2)
    .max(MOST_POINTS),
  ...ofChannel,
});

export const recordSchema = z.discriminatedUnion('kind', [
  valued('output', plausibleFullScale(), 'V'),
  valued('input', plausibleFullScale(), 'V'),
  valued('attenuator', quantity('1', { min: 1, max: 100_000 }), 'V'),
  load,
  // Above 10 ohm it is no shunt in series with a load but a load.
  valued('shunt', quantity('ohm', { min: 1e-5, max: 10 }), 'ohm'),
  floor,
  response,
]);

export type RecordKeys = z.output<typeof recordSchema>;
/** A record of one value of one channel. */
export type ValueKeys = Exclude<RecordKeys, { kind: 'floor' | 'response' }>;

import { createHash } from 'node:crypto';
import { z } from 'zod';
import type { Contribution } from '../measure/budget.js';
import { fullScale, label, prose, quantity, whole } from '../schema/fields.js';
import { parseYaml } from '../schema/parse-yaml.js';
import type { CalibrationRecord } from './chain.js';

/** A day that the calendar has, written year-month-day. */
const day = z
  .string()
  .refine(
    (text) => /^\d{4}-\d{2}-\d{2}$/.test(text) && new Date(`${text}T00:00:00Z`).toJSON()?.startsWith(text),
    'not a day; write year-month-day, as in 2026-03-01',
  );

const common = {
  uncertainty: quantity('%', { min: 0, max: 100 }).optional(),
  instrument: label().optional(),
  date: day.optional(),
  due: day.optional(),
  by: label().optional(),
  notes: prose().optional(),
};

const ofChannel = { ...common, channel: whole(1, 64) };

const recordSchema = z.discriminatedUnion('kind', [
  z.strictObject({ kind: z.literal('output'), value: fullScale(), ...ofChannel }),
  z.strictObject({ kind: z.literal('input'), value: fullScale(), ...ofChannel }),
  z.strictObject({
    kind: z.literal('attenuator'),
    value: quantity('1', { min: 1, max: 100_000 }),
    ...ofChannel,
  }),
  z.strictObject({
    kind: z.literal('load'),
    nominal: quantity('ohm', { min: 0.1, max: 10_000 }),
    value: quantity('ohm', { min: 0.01, max: 100_000 }),
    ...ofChannel,
  }),
  z.strictObject({ kind: z.literal('floor'), value: quantity('%', { positive: true, max: 100 }), ...common }),
]);

/** A calibration record with what says where it belongs. */
export interface FiledRecord {
  readonly record: CalibrationRecord;
  /** Peak volts at full scale, ratio, ohms, percent. */
  readonly value: number;
  /** What stands behind the value; null when nothing is stated. */
  readonly stated: readonly Contribution[] | null;
  /** Bench channel; null for the floor, which belongs to the whole bench. */
  readonly channel: number | null;
  /** Nominal load; null for other kinds. */
  readonly nominal_ohm: number | null;
}

/**
 * Reads a calibration record. Values of outputs and inputs come as peak volts at digital full scale.
 *
 * @param id the name that a bench file uses for it
 * @throws DocumentError
 */
export function readRecord(source: string | Uint8Array, file: string, id: string): FiledRecord {
  const read = parseYaml(source, recordSchema, { file });
  const text = typeof source === 'string' ? source : new TextDecoder().decode(source);
  const record: CalibrationRecord = {
    id,
    kind: read.kind,
    date: read.date ?? null,
    due: read.due ?? null,
    text,
    sha256: createHash('sha256').update(text).digest('hex'),
  };
  return {
    record,
    value: read.value,
    stated: read.uncertainty === undefined ? null : [calibration(read.kind, read.uncertainty)],
    channel: read.kind === 'floor' ? null : read.channel,
    nominal_ohm: read.kind === 'load' ? read.nominal : null,
  };
}

/** A standard uncertainty as somebody wrote it down, with nothing said of how it came about. */
export function calibration(what: string, standard_percent: number): Contribution {
  return {
    source: `${what}: calibration`,
    type: 'B',
    distribution: 'normal',
    standard_percent,
    freedom: null,
  };
}

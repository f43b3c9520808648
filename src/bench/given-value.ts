import { calibration } from '../calibration/record-basis.js';
import type { WantedRecord } from '../calibration/record-faults.js';
import type { FiledRecord } from '../calibration/record-file.js';
import type { Contribution } from '../measure/budget.js';
import type { BenchReading, KeyPath } from './bench-reading.js';

/** A part of a channel whose value stands in the bench file or in a calibration record. */
export interface GivenPart {
  /** In words, for budgets: `input 1`. */
  readonly part: string;
  /** The key that gives the value in place. */
  readonly key: string;
  readonly value: number | undefined;
  readonly uncertainty_percent: number | undefined;
  readonly record: string | undefined;
  readonly wanted: Omit<WantedRecord, 'day'>;
  readonly place: KeyPath;
}

export interface GivenValue {
  /** NaN when neither gives it, which has been complained about unless a default stands in. */
  readonly value: number;
  readonly stated: readonly Contribution[] | null;
  readonly filed: FiledRecord | null;
}

/**
 * A value and what is stated of it, given in place or by a record: what both give is a fault, and so is a value that
 * neither gives.
 *
 * @param standIn value where neither gives one
 */
export function givenValue(reading: BenchReading, part: GivenPart, standIn?: number): GivenValue {
  const { key, value, record, uncertainty_percent, wanted, place } = part;
  if (value !== undefined && record !== undefined)
    reading.complain(
      [...place, 'record'],
      `both '${key}' and 'record' give the value`,
      `a record replaces '${key}': leave one out`,
    );
  if (value === undefined && record === undefined && standIn === undefined)
    reading.complain(place, `'${key}' is missing`, `give it, or name a calibration record with 'record'`);
  const filed = record === undefined ? null : reading.record(record, wanted, [...place, 'record']);
  if (filed?.stated) givenTwice(reading, filed, { uncertainty: uncertainty_percent }, place);
  const written =
    uncertainty_percent === undefined ? null : [calibration(part.part, 'bench file', uncertainty_percent)];
  return { value: value ?? filed?.value ?? standIn ?? Number.NaN, stated: filed?.stated ?? written, filed };
}

/** Complains about each key that the bench file gives although the record gives it too. */
export function givenTwice(
  reading: BenchReading,
  filed: FiledRecord,
  keys: Readonly<Record<string, number | undefined>>,
  place: KeyPath,
): void {
  for (const [key, value] of Object.entries(keys)) {
    if (value === undefined) continue;
    const what = `both this file and the record '${filed.record.id}' give '${key}'`;
    reading.complain([...place, key], what, 'leave it out here');
  }
}

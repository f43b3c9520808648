import { createHash } from 'node:crypto';
import type { Contribution } from '../measure/budget.js';
import { DocumentError } from '../schema/document-error.js';
import { checkAgainst } from '../schema/parse-yaml.js';
import { YamlDocument } from '../schema/yaml-document.js';
import { type CalibrationRecord, loadName } from './chain.js';
import type { Floor } from './floor.js';
import { statedBy } from './record-basis.js';
import { brokenSeal, recordFaults, type WantedRecord } from './record-faults.js';
import { type RecordKeys, recordSchema } from './record-schema.js';
import { type Response, responseAt, responsePoints } from './response.js';

/** A calibration record with what says where it belongs. */
export interface FiledRecord {
  readonly record: CalibrationRecord;
  /** Peak volts at full scale, ratio, ohms; null for a floor and a response. */
  readonly value: number | null;
  /** What stands behind the value; null when nothing is stated. */
  readonly stated: readonly Contribution[] | null;
  /** Bench channel; null for the floor, which belongs to the whole bench. */
  readonly channel: number | null;
  /** Null for kinds other than load, floor, response. Of a load: the record as it is written. */
  readonly load: (RecordKeys & { kind: 'load' }) | null;
  readonly floor: Floor | null;
  readonly response: Response | null;
  /** Temperature of what was measured: the load's own, else the room's. */
  readonly temperature_C: number | null;
}

/**
 * Reads a calibration record. Values of outputs and inputs come as peak volts at digital full scale, levels of a
 * response relative to that at 1 kHz exactly.
 *
 * @param id the file's name without its ending
 * @param wanted what it must be to serve where it is named
 * @throws DocumentError listing every fault, or the broken seal alone: nothing in such a record counts
 */
export function readRecord(
  source: string | Uint8Array,
  file: string,
  id: string,
  wanted: WantedRecord = {},
): FiledRecord {
  const document = new YamlDocument(source, file);
  const broken = brokenSeal(document);
  if (broken) throw new DocumentError(file, [broken]);
  const checked = checkAgainst(document, document.data, recordSchema);
  if ('faults' in checked) throw new DocumentError(file, checked.faults);
  const keys = checked.value;
  const faults = recordFaults(document, keys, id, wanted);
  if (faults.length > 0) throw new DocumentError(file, faults);
  const { text } = document;
  return {
    record: {
      id,
      kind: keys.kind,
      date: keys.date ?? null,
      due: keys.due ?? null,
      text,
      sha256: createHash('sha256').update(text).digest('hex'),
    },
    value: keys.kind === 'floor' || keys.kind === 'response' ? null : keys.value,
    stated:
      keys.kind === 'floor' || keys.kind === 'response' ? null : statedBy(keys, partOf(keys), `record ${id}`),
    channel: keys.kind === 'floor' ? null : keys.channel,
    load: keys.kind === 'load' ? keys : null,
    floor: keys.kind === 'floor' ? floorOf(keys) : null,
    response: keys.kind === 'response' ? responseOf(keys) : null,
    temperature_C: keys.temperature ?? null,
  };
}

/** The part of the bench that a record is of, in words. */
function partOf(keys: Exclude<RecordKeys, { kind: 'floor' }>): string {
  return keys.kind === 'load' ? loadName(keys.channel, keys.nominal) : `${keys.kind} ${keys.channel}`;
}

function floorOf({ value, points }: RecordKeys & { kind: 'floor' }): Floor {
  if (points === undefined) return { kind: 'stated', thdn_percent: value! };
  return {
    kind: 'measured',
    points: points.map(({ frequency, level, thdn }) => ({
      frequency_Hz: frequency,
      level_dB: level,
      thdn_percent: thdn,
    })),
  };
}

function responseOf(keys: RecordKeys & { kind: 'response' }): Response {
  const points = responsePoints(keys.points);
  const reference_dB = responseAt({ points }, 1000).level_dB;
  return { points: points.map((point) => ({ ...point, level_dB: point.level_dB - reference_dB })) };
}

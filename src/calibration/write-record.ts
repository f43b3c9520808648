import { Document, isMap, isSeq } from 'yaml';
import { formatQuantity } from '../units/format.js';
import type { Unit } from '../units/quantity.js';
import type { DraftBasis, DraftCircumstances, DraftLoad, DraftRecord } from './draft-record.js';
import type { FloorPoint } from './floor.js';
import { readRecord } from './record-file.js';
import type { ResponsePoint } from './response.js';
import { sealOf } from './seal.js';

/** More than any instrument tells apart, few enough to be read. */
const FIGURES = 9;

const HEAD = '# Calibration record. Do not edit it: measure again and keep both. The seal shows a change.\n';

/**
 * Text of a calibration record: a line for people, the keys, the seal. Values are written with nine significant
 * figures; `readRecord` gives them back.
 *
 * @throws DocumentError when the draft says what no record may, such as a due day before its date: a record that cannot
 * be read is never written
 */
export function recordText(draft: DraftRecord): string {
  const keys = { kind: draft.kind, ...keysOf(draft), ...circumstances(draft) };
  const given = Object.entries(keys).filter(([, value]) => value !== null);
  const document = new Document(Object.fromEntries(given), { version: '1.2', schema: 'core' });
  const points = document.get('points');
  // One point a line.
  if (isSeq(points)) for (const item of points.items) if (isMap(item)) item.flow = true;
  const text = HEAD + document.toString({ lineWidth: 0, flowCollectionPadding: false });
  const sealed = `${text}seal: ${sealOf(text)}\n`;
  readRecord(sealed, 'the new record', 'new');
  return sealed;
}

/**
 * Name of the file for a new record: `family-2026-03-01.yaml`, with `-2`, `-3` ... when there is one of that day.
 *
 * @param taken names that lie in the folder already
 */
export function recordFileName(family: string, date: string, taken: readonly string[]): string {
  for (let n = 1; ; n++) {
    const name = `${family}-${date}${n === 1 ? '' : `-${n}`}.yaml`;
    if (!taken.includes(name)) return name;
  }
}

type Keys = Record<string, unknown>;

function written(value: number | null, unit: Unit): string | null {
  return value === null ? null : formatQuantity(value, unit, { figures: FIGURES, trim: true });
}

function keysOf(draft: DraftRecord): Keys {
  switch (draft.kind) {
    case 'floor':
      return { points: draft.points.map(floorRow), noise: written(draft.noise_V, 'V') };
    case 'response':
      return { channel: draft.channel, points: draft.points.map(responseRow) };
    case 'load':
      return { channel: draft.channel, ...loadKeys(draft), ...basisKeys(draft) };
    default:
      return { channel: draft.channel, value: valueText(draft.kind, draft.value), ...basisKeys(draft) };
  }
}

function valueText(kind: 'output' | 'input' | 'attenuator' | 'shunt', value: number): string | number | null {
  if (kind === 'shunt') return written(value, 'ohm');
  if (kind === 'attenuator') return Number(value.toPrecision(FIGURES));
  return `${written(value / Math.SQRT2, 'V')} rms`;
}

function loadKeys(draft: DraftLoad): Keys {
  const { tempco_per_K } = draft;
  return {
    nominal: written(draft.nominal_ohm, 'ohm'),
    value: written(draft.value, 'ohm'),
    tempco: tempco_per_K === null ? null : `${Number((tempco_per_K * 1e6).toPrecision(FIGURES))} ppm/K`,
    heating: written(draft.heating_K_per_W, 'K/W'),
    warming_limits: written(draft.warmingLimits, '1'),
    inductance: written(draft.inductance_H, 'H'),
  };
}

function basisKeys(draft: DraftBasis): Keys {
  const { uncertainty } = draft;
  return {
    uncertainty: written(uncertainty?.standard_percent ?? null, '%'),
    freedom: uncertainty?.freedom == null ? null : Number(uncertainty.freedom.toPrecision(FIGURES)),
    linearity: written(draft.linearityLimits_percent, '%'),
    stability: written(draft.stabilityLimits_percent, '%'),
  };
}

const floorRow = ({ frequency_Hz, level_dB, thdn_percent }: FloorPoint): Keys => ({
  frequency: written(frequency_Hz, 'Hz'),
  level: written(level_dB, 'dB'),
  thdn: written(thdn_percent, '%'),
});

const responseRow = ({ frequency_Hz, level_dB, uncertainty_dB }: ResponsePoint): Keys => ({
  frequency: written(frequency_Hz, 'Hz'),
  level: written(level_dB, 'dB'),
  uncertainty: written(uncertainty_dB, 'dB'),
});

const circumstances = ({ temperature_C, ...draft }: DraftCircumstances): Keys => ({
  bench: draft.bench,
  instrument: draft.instrument,
  serial: draft.serial,
  by: draft.by,
  date: draft.date,
  due: draft.due,
  temperature: written(temperature_C, 'degC'),
  notes: draft.notes,
});

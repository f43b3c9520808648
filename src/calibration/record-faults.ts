import type { Fault } from '../schema/document-error.js';
import type { YamlDocument } from '../schema/yaml-document.js';
import { formatQuantity } from '../units/format.js';
import type { RecordKind } from './chain.js';
import { nominalMatch, nominalWords } from './nominal-match.js';
import { accuracyPercent, meterReadingOf } from './record-basis.js';
import type { RecordKeys, ValueKeys } from './record-schema.js';
import { responseAt, responsePoints } from './response.js';
import { sealOf } from './seal.js';

/** What a record must be to serve where it is named. Left out: anything. */
export interface WantedRecord {
  readonly kind?: RecordKind;
  readonly channel?: number;
  readonly nominal_ohm?: number;
  /** Today, year-month-day. */
  readonly day?: string;
  /** False: nothing is played by it, and what was once accepted must still be read. */
  readonly plays?: boolean;
}

/** A record's name with a date in it: `left-load-2026-03-01`, `left-load-2026-03-01-2`. */
export const DATED_NAME = /^(.+)-(\d{4}-\d{2}-\d{2})(?:-([1-9]\d{0,5}))?$/;

/** How far the level at 1 kHz, to which a response is relative, may be from 0 dB: a slip beyond that, not rounding. */
const REFERENCE_LIMIT_dB = 0.05;

type Complain = (path: readonly PropertyKey[], what: string, mend: string) => void;

/** The fault of a record whose seal does not fit its text; null when it has none or a right one. */
export function brokenSeal(document: YamlDocument): Fault | null {
  const { data, text } = document;
  if (typeof data !== 'object' || data === null || !Object.hasOwn(data, 'seal')) return null;
  const written = /^seal:[ \t]*([0-9a-f]{64})[ \t]*$/m.exec(text.replaceAll('\r', ''))?.[1];
  if (written === sealOf(text)) return null;
  return document.fault(
    ['seal'],
    'the record was changed after it was written: its seal does not fit its text',
    'calibrate again rather than edit; or take the seal line out and answer for the change',
  );
}

/** What is wrong between the keys of a record, each of which is right by itself, and with what it is wanted for. */
export function recordFaults(
  document: YamlDocument,
  keys: RecordKeys,
  id: string,
  wanted: WantedRecord,
): Fault[] {
  const faults: Fault[] = [];
  const complain: Complain = (path, what, mend) => faults.push(document.fault(path, what, mend));
  checkDays(keys, wanted, complain);
  // A date that is wrong already is not compared with the name, too.
  if (faults.length === 0) checkName(keys, id, complain);
  // A record of something else is wrong by that alone.
  if (!belongs(keys, wanted, complain)) return faults;
  if (keys.kind === 'floor') checkFloor(keys, complain);
  else if (keys.kind === 'response') checkResponse(keys.points, complain);
  else checkBasis(keys, complain);
  if (keys.kind === 'load' && wanted.plays !== false) checkLoad(keys, complain);
  return faults;
}

function checkDays({ date, due }: RecordKeys, { day }: WantedRecord, complain: Complain): void {
  if (date !== undefined && day !== undefined && date > day)
    complain(
      ['date'],
      `${date} lies in the future: today is ${day}`,
      "write the day of the calibration, or set the computer's clock",
    );
  if (date !== undefined && due !== undefined && due < date)
    complain(['due'], `due on ${due}, before its own date ${date}`, 'give the last day on which it holds');
}

/** The name sorts and the date inside chooses: were they to differ, one of them would mislead. */
function checkName({ date }: RecordKeys, id: string, complain: Complain): void {
  const day = DATED_NAME.exec(id)?.[2];
  if (day === undefined || day === date) return;
  if (date === undefined)
    complain([], `the file's name says ${day}, and the record has no date`, 'write the date');
  else complain(['date'], `${date} is not the date in the file's name, ${day}`, 'make them the same');
}

const named = (kind: RecordKind) => `${/^[aeiou]/.test(kind) ? 'an' : 'a'} ${kind}`;

function belongs(keys: RecordKeys, wanted: WantedRecord, complain: Complain): boolean {
  const { kind, channel, nominal_ohm } = wanted;
  const mend = 'name another record, or correct this one';
  if (kind !== undefined && keys.kind !== kind) {
    complain(['kind'], `it is of ${named(keys.kind)}, not of ${named(kind)}`, mend);
    return false;
  }
  if (channel !== undefined && keys.kind !== 'floor' && keys.channel !== channel) {
    complain(['channel'], `it is of channel ${keys.channel}, not of channel ${channel}`, mend);
    return false;
  }
  if (nominal_ohm !== undefined && keys.kind === 'load' && keys.nominal !== nominal_ohm) {
    const [written, asked] = [keys.nominal, nominal_ohm].map((ohms) => formatQuantity(ohms, 'ohm'));
    complain(['nominal'], `it is of the ${written} load, not of the ${asked} load`, mend);
    return false;
  }
  return true;
}

function checkLoad({ value, nominal }: RecordKeys & { kind: 'load' }, complain: Complain): void {
  if (nominalMatch(value, nominal) !== 'another') return;
  complain(
    ['value'],
    `${nominalWords(value, nominal)}: these are the ohms of another load`,
    'measure again, or name the right load; allowed are 0.71 to 1.41 times the nominal value',
  );
}

function checkBasis(keys: ValueKeys, complain: Complain): void {
  const { accuracy, uncertainty, resolution, reading, freedom, linearity, stability } = keys;
  if (accuracy !== undefined && uncertainty !== undefined)
    complain(['accuracy'], "both 'uncertainty' and 'accuracy' say how well it is known", 'leave one out');
  if (accuracy === undefined) {
    const mend = "leave it out, or give the meter's 'accuracy' as in 0.5 % + 3 counts";
    if (resolution !== undefined) complain(['resolution'], "'resolution' belongs to an 'accuracy'", mend);
    if (reading !== undefined) complain(['reading'], "'reading' belongs to an 'accuracy'", mend);
  } else checkAccuracy(keys, complain);
  if (freedom !== undefined && uncertainty === undefined)
    complain(
      ['freedom'],
      "the key 'freedom' (degrees of freedom) belongs to an 'uncertainty'",
      'leave it out, or give the uncertainty',
    );
  if (uncertainty !== undefined || accuracy !== undefined) return;
  const mend = "give 'uncertainty' or 'accuracy' too: alone it would pass for the whole";
  if (linearity !== undefined)
    complain(['linearity'], "'linearity' alone does not say how well it is known", mend);
  if (stability !== undefined)
    complain(['stability'], "'stability' alone does not say how well it is known", mend);
}

function checkAccuracy(keys: ValueKeys, complain: Complain): void {
  const { accuracy, resolution } = keys;
  const [volts, ohms] = ['10 mV', '0.01 ohm'];
  const example = keys.kind === 'load' || keys.kind === 'shunt' ? ohms : volts;
  if (accuracy!.counts > 0 && resolution === undefined)
    complain(['accuracy'], "'resolution' is missing", `say what one count is, as in ${example}`);
  else if (accuracy!.counts > 0 && meterReadingOf(keys) === null)
    complain(['accuracy'], "'reading' is missing", 'say what the meter showed at the load, as in 28.28 V');
  else if (accuracyPercent(keys) >= 100)
    complain(['accuracy'], 'the limits are as large as the reading itself', 'look at resolution and reading');
}

function checkFloor({ value, points }: RecordKeys & { kind: 'floor' }, complain: Complain): void {
  if (value !== undefined && points !== undefined)
    complain(['points'], "both 'value' and 'points' say what the floor is", 'leave one out');
  if (value === undefined && points === undefined)
    complain([], "neither 'value' nor 'points' says what the floor is", 'give one, as in value: 0.0005 %');
  const seen = new Set<string>();
  points?.forEach(({ frequency, level }, i) => {
    const place = `${frequency} Hz at ${level} dB`;
    if (seen.has(place)) complain(['points', i], `a second point for ${place}`, 'give each once');
    seen.add(place);
  });
}

function checkResponse(points: (RecordKeys & { kind: 'response' })['points'], complain: Complain): void {
  const fall = points.findIndex(({ frequency }, i) => i > 0 && frequency <= points[i - 1]!.frequency);
  if (fall > 0) {
    complain(
      ['points', fall, 'frequency'],
      'the frequencies do not rise',
      'give each once, the lowest first',
    );
    return;
  }
  if (points[0]!.frequency > 1000 || points.at(-1)!.frequency < 1000) {
    complain(
      ['points'],
      'the points do not reach 1 kHz',
      'levels are relative to 1 kHz: give points on both sides',
    );
    return;
  }
  const { level_dB } = responseAt({ points: responsePoints(points) }, 1000);
  if (Math.abs(level_dB) > REFERENCE_LIMIT_dB)
    complain(
      ['points'],
      `the level at 1 kHz is ${formatQuantity(level_dB, 'dB')}`,
      'levels are relative to 1 kHz: take that off every one of them',
    );
}

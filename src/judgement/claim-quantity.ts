import { nearest } from '../schema/nearest.js';
import { fromDBW, voltageRatio } from '../units/decibel.js';
import { BadQuantity, parseQuantity, quoted } from '../units/parse.js';
import type { Unit } from '../units/quantity.js';
import { UNIT_RULES } from '../units/unit-rules.js';
import type { ClaimDraft } from './claim-draft.js';

/** Units that a claim may hold. */
const UNITS = ['W', 'ohm', '%', 'Hz', 's', 'V', 'dB'] as const satisfies readonly Unit[];
type ClaimUnit = (typeof UNITS)[number];

/** Units as prose spells them, in small letters. */
const SPELT: Readonly<Record<string, string>> = {
  watt: 'W',
  watts: 'W',
  wrms: 'W',
  kilowatt: 'kW',
  kilowatts: 'kW',
  percent: '%',
  hertz: 'Hz',
  kilohertz: 'kHz',
  volt: 'V',
  volts: 'V',
  second: 's',
  seconds: 's',
  sec: 's',
  minute: 'min',
  minutes: 'min',
  hour: 'h',
  hours: 'h',
};

/** No claim states less distortion in decibels than this: -10 dB is 32 %. */
const LEAST_DOWN_dB = -10;

/** The unit that a spelling belongs to, small and capital letters alike. */
function unitOf(spelling: string): ClaimUnit | null {
  const small = spelling.toLowerCase();
  return (
    UNITS.find((unit) => UNIT_RULES[unit].spellings.has(spelling)) ??
    UNITS.find((unit) => [...UNIT_RULES[unit].spellings.keys()].some((one) => one.toLowerCase() === small)) ??
    null
  );
}

/** A number and what follows it as unit, read; null (and a fault noted) when it is none. */
export function readQuantity(
  draft: ClaimDraft,
  number: string,
  unit: ClaimUnit,
  spelling: string,
  at: number,
) {
  try {
    return parseQuantity(`${number} ${SPELT[spelling.toLowerCase()] ?? spelling}`, unit);
  } catch (error) {
    if (!(error instanceof BadQuantity)) throw error;
    const mend = error.explanation.mend ?? '';
    draft.fault(at, error.explanation.what, mend.charAt(0).toLowerCase() + mend.slice(1));
    return null;
  }
}

/** Takes a number with a unit: which term it is follows from the unit. */
export function takeQuantity(draft: ClaimDraft, number: string, spelling: string, at: number): void {
  const said = `${number} ${spelling}`;
  if (/^dBW$/i.test(spelling)) {
    draft.set('power_W', fromDBW(Number(plain(number))), at, said);
    return;
  }
  const unit = unitOf(SPELT[spelling.toLowerCase()] ?? spelling);
  if (unit === null) {
    refuseUnit(draft, said, spelling, at);
    return;
  }
  const value = readQuantity(draft, number, unit, spelling, at);
  if (value !== null) takeValue(draft, value, unit, at, said);
}

function takeValue(draft: ClaimDraft, value: number, unit: ClaimUnit, at: number, said: string): void {
  if (unit === 'W') draft.set('power_W', value, at, said);
  else if (unit === 'ohm') draft.set('load_ohm', value, at, said);
  else if (unit === '%') draft.set('distortion_percent', value, at, said);
  else if (unit === 'Hz') draft.set('frequency_Hz', [value, value], at, said);
  else if (unit === 's') draft.set('duration_s', value, at, said);
  else if (unit === 'dB' && value <= LEAST_DOWN_dB)
    draft.set('distortion_percent', 100 * voltageRatio(value), at, said);
  else if (unit === 'dB')
    draft.fault(
      at,
      `${quoted(said)} is no distortion`,
      'distortion in decibels is negative, as in -60 dB; the tolerance of a response is no part of a claim of power',
    );
  else
    draft.fault(
      at,
      `${quoted(said)} does not say which volts`,
      "write '230 V mains' or '14.4 V supply'; an output is claimed in watts",
    );
}

const plain = (number: string) => number.replace('\u2212', '-');

function refuseUnit(draft: ClaimDraft, said: string, spelling: string, at: number): void {
  const near = nearest(spelling, [
    ...UNITS.flatMap((unit) => [...UNIT_RULES[unit].spellings.keys()]),
    'channels',
  ]);
  draft.fault(
    at,
    `unknown unit in ${quoted(said)}`,
    near
      ? `did you mean '${near}'?`
      : 'units known here: W, dBW, ohm, %, dB, Hz, kHz, V, ms, s, min, channels',
  );
}

import { nearest } from '../../schema/nearest.js';
import { BadQuantity, parseQuantity, quoted } from '../../units/parse.js';
import type { Unit } from '../../units/quantity.js';
import { UNIT_RULES } from '../../units/unit-rules.js';
import type { ClaimListener } from './claim-statement.js';

/** Units that a claim may hold. */
const UNITS = ['W', 'ohm', '%', 'Hz', 's', 'V', 'dB'] as const satisfies readonly Unit[];
type ClaimUnit = (typeof UNITS)[number];

/** Units as prose spells them, in small letters. */
const SPELT: Readonly<Record<string, string>> = {
  watt: 'W',
  watts: 'W',
  milliwatt: 'mW',
  milliwatts: 'mW',
  kilowatt: 'kW',
  kilowatts: 'kW',
  w: 'W',
  kw: 'kW',
  r: 'ohm',
  ohm: 'ohm',
  ohms: 'ohm',
  percent: '%',
  k: 'kHz',
  hz: 'Hz',
  khz: 'kHz',
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

/** Watts with a word grown on to them: `100 Wrms`, `100 WPC`, `100 Wpk`. */
const GROWN = /^([mk]?W)(rms|pc|pk|p)$/i;

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

/** A number and its unit, whatever its spelling; null (and a fault noted) when it is none. */
export function readIn(to: ClaimListener, number: string, spelling: string, unit: ClaimUnit): number | null {
  try {
    return parseQuantity(`${number} ${SPELT[spelling.toLowerCase()] ?? spelling}`, unit);
  } catch (error) {
    if (!(error instanceof BadQuantity)) throw error;
    const { what, mend = '' } = error.explanation;
    to.fault(what, mend.charAt(0).toLowerCase() + mend.slice(1));
    return null;
  }
}

/** Takes a number with a unit: which term it is follows from the unit. */
export function takeQuantity(to: ClaimListener, number: string, spelling: string): void {
  const said = `${number} ${spelling}`;
  const [, watts, suffix = ''] = GROWN.exec(spelling) ?? [];
  const plain = watts ?? SPELT[spelling.toLowerCase()] ?? spelling;
  const unit = unitOf(plain);
  const value = unit === null ? null : readIn(to, number, plain, unit);
  if (/^dBW$/i.test(plain)) to.say('power_W', 10 ** (Number(number.replace('\u2212', '-')) / 10));
  else if (unit === null) refuseUnit(to, said, spelling);
  else if (value !== null) takeValue(to, value, unit, said);
  if (/^rms$/i.test(suffix)) to.say('kind', 'continuous');
  else if (/^pc$/i.test(suffix)) to.say('per', 'channel');
  else if (suffix !== '') to.say('kind', 'peak');
}

function takeValue(to: ClaimListener, value: number, unit: ClaimUnit, said: string): void {
  if (unit === 'W') to.say('power_W', value);
  else if (unit === 'ohm') to.say('load_ohm', value);
  else if (unit === '%') to.say('distortion_percent', value);
  else if (unit === 'Hz') to.say('frequency_Hz', [value, value]);
  else if (unit === 's') to.say('duration_s', value);
  else if (unit === 'dB' && value <= LEAST_DOWN_dB)
    to.say('distortion_percent', Number((100 * 10 ** (value / 20)).toPrecision(12)));
  else if (unit === 'dB')
    to.fault(
      `${quoted(said)} is not a distortion`,
      'distortion in decibels is negative, as in -60 dB; the tolerance of a response does not belong in a claim of power',
    );
  else
    to.fault(
      `${quoted(said)} does not say which volts`,
      "write '230 V mains' or '14.4 V supply'; an output is claimed in watts",
    );
}

function refuseUnit(to: ClaimListener, said: string, spelling: string): void {
  const known = [...UNITS.flatMap((unit) => [...UNIT_RULES[unit].spellings.keys()]), 'channels'];
  const near = nearest(spelling, known);
  to.fault(
    `unknown unit in ${quoted(said)}`,
    near
      ? `did you mean '${near}'?`
      : 'units known here: W, dBW, ohm, %, dB, Hz, kHz, V, ms, s, min, channels',
  );
}

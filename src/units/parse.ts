import { asTold, inputError } from '../errors/error-table.js';
import { type Quantity, type Unit, type Volts, volts } from './quantity.js';
import { UNIT_RULES } from './unit-rules.js';
import { visibleName } from './visible-text.js';

/** A text that is no quantity of the unit that was wanted. */
export const BadQuantity = inputError('BAD_QUANTITY', asTold);

/** Longest text that is looked at; anything longer is no quantity. */
const LONGEST = 64;

/** Digits with a point, an exponent, or a fraction of two whole numbers; then whatever follows as unit. */
const SHAPE = /^([+-]?)(\d+(?:\.\d*)?(?:e[+-]?\d{1,4})?|\.\d+(?:e[+-]?\d{1,4})?)(?:\/(\d+))?\s*(.*)$/i;

/** Makes one spelling of the many that typography offers for spaces, minus, micro and ohm. */
function plain(text: string): string {
  return text
    .replace(/[\u00a0\u2007\u2009\u202f]/g, ' ')
    .replace(/\u2212/g, '-')
    .replace(/[\u00b5\u03bc]/g, 'u')
    .replace(/\u2126/g, 'Ω')
    .trim();
}

/** The text in quotes, shortened and with nothing hidden in it, fit for a message. */
export function quoted(text: string): string {
  const visible = visibleName(text);
  return visible.length > LONGEST ? `'${visible.slice(0, LONGEST - 4)}…'` : `'${visible}'`;
}

/** Names the quantity that a unit belongs to, to say what was given instead. */
function nounOf(spelling: string): string | null {
  const found = Object.values(UNIT_RULES).find((rule) => spelling !== '' && rule.spellings.has(spelling));
  return found ? found.noun : null;
}

function mendFor(unit: Unit, text: string, tail: string | null): string | undefined {
  const rule = UNIT_RULES[unit];
  if (/\d,\d/.test(text)) return 'Write the decimal mark as a point';
  if (tail === null) return undefined;
  if (tail === '') return 'Give the unit';
  const otherCase = [...rule.spellings.keys()].find((known) => known.toLowerCase() === tail.toLowerCase());
  if (otherCase) return `Units are case-sensitive: '${otherCase}' is one that fits here, '${tail}' is not`;
  const noun = nounOf(tail);
  return noun ? `'${tail}' is the unit of ${noun}` : undefined;
}

function complaint(unit: Unit, text: string, tail: string | null): InstanceType<typeof BadQuantity> {
  const rule = UNIT_RULES[unit];
  const mend = mendFor(unit, text, tail);
  const what = `expected ${rule.noun} such as ${rule.example}, got ${quoted(text)}`;
  return new BadQuantity(mend ? { what, mend } : { what });
}

/** Reads number and fraction; null when the value is not finite, or so small that it became zero. */
function numberOf(sign: string, digits: string, divisor: string | undefined): number | null {
  const value = Number(digits) / (divisor === undefined ? 1 : Number(divisor));
  const lost = value === 0 && /[1-9]/.test(digits.replace(/e.*$/i, ''));
  if (!Number.isFinite(value) || lost) return null;
  return sign === '-' ? -value : value;
}

/**
 * Reads a quantity with its unit, such as `50 mW`, `8 Ω`, `0.1 %`, `1/8`, `5 min`.
 *
 * The space before the unit may be missing or typographic; both micro signs, both ohm signs and the
 * true minus are accepted. Prefixes are those of `UNIT_RULES`. `NaN`, infinities, hexadecimal and
 * numbers out of range are refused.
 *
 * @returns the value in the base unit (watts, hertz, seconds ...).
 * @throws BadQuantity saying what was expected, with an example, and what was found.
 */
export function parseQuantity<U extends Unit>(text: string, unit: U): Quantity<U> {
  const match = text.length <= LONGEST ? SHAPE.exec(plain(text)) : null;
  if (!match) throw complaint(unit, text, null);
  const [, sign = '', digits = '', divisor, tail = ''] = match;
  const factor = UNIT_RULES[unit].spellings.get(tail);
  const number = numberOf(sign, digits, divisor);
  if (factor === undefined || number === null)
    throw complaint(unit, text, factor === undefined ? tail : null);
  const value = scaled(number, factor);
  if (!Number.isFinite(value)) throw complaint(unit, text, null);
  return value as Quantity<U>;
}

/** Shifts the decimal point where the factor is a power of ten, so that `0.68 uF` is the double nearest 0.68e-6. */
function scaled(number: number, factor: number): number {
  const shift = Math.round(Math.log10(factor));
  if (Number(`1e${shift}`) !== factor) return number * factor;
  const [mantissa, exponent] = number.toExponential().split('e');
  return Number(`${mantissa}e${Number(exponent) + shift}`);
}

/** A level at digital full scale; one of the two words is needed, since 3 dB hang on it. */
const FULL_SCALE = /^(.*?V)\s*(rms|peak|pk)$/;

/**
 * Reads volts at digital full scale, such as `4 V rms` or `5.66 V peak`.
 *
 * @param expected what would be right, for another use than full scale
 * @returns peak volts of a sine that just reaches full scale.
 * @throws BadQuantity when the word `rms` or `peak` is missing or the value is not above zero.
 */
export function parseFullScale(
  text: string,
  expected = 'a full-scale voltage such as 4 V rms or 5.66 V peak',
): Volts {
  const what = `expected ${expected}, got ${quoted(text)}`;
  const match = text.length <= LONGEST ? FULL_SCALE.exec(plain(text)) : null;
  if (!match) throw new BadQuantity({ what, mend: "Say which volts: 'rms' or 'peak'" });
  let value: number;
  try {
    value = parseQuantity(match[1] ?? '', 'V');
  } catch {
    throw new BadQuantity({ what });
  }
  if (value <= 0) throw new BadQuantity({ what, mend: 'It must be above zero' });
  return volts(match[2] === 'rms' ? value * Math.SQRT2 : value);
}

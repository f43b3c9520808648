import { BadQuantity, quoted } from '../units/parse.js';

/** The value, when it is above zero. @throws BadQuantity */
export function aboveZero(value: number, text: string): number {
  if (value > 0) return value;
  throw new BadQuantity({ what: `expected a value above zero, got ${quoted(text)}` });
}

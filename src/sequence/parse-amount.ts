import { formatQuantity } from '../units/format.js';
import { BadQuantity, parseQuantity, quoted } from '../units/parse.js';
import { aboveZero } from './above-zero.js';

/** Least powers and voltages that are any level: far below the noise of every amplifier. Common practice, no source. */
export const LEAST = { W: 1e-9, V: 1e-6 } as const;

/** Reads a power or a voltage that is a level at all. @throws BadQuantity */
export function parseAmount(text: string, unit: 'W' | 'V'): number {
  const value = aboveZero(parseQuantity(text, unit), text);
  if (value >= LEAST[unit]) return value;
  const least = formatQuantity(LEAST[unit], unit, { trim: true });
  throw new BadQuantity({ what: `expected at least ${least}, got ${quoted(text)}` });
}

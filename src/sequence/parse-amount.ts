import { formatQuantity } from '../units/format.js';
import { parseQuantity, QuantityError, quoted } from '../units/parse.js';
import { aboveZero } from './above-zero.js';

/** Least powers and voltages that are any level: far below the noise of every amplifier. Common practice, no source. */
export const LEAST = { W: 1e-9, V: 1e-6 } as const;

/** Reads a power or a voltage that is a level at all. @throws QuantityError */
export function parseAmount(text: string, unit: 'W' | 'V'): number {
  const value = aboveZero(parseQuantity(text, unit), text);
  if (value >= LEAST[unit]) return value;
  const least = formatQuantity(LEAST[unit], unit, { trim: true });
  throw new QuantityError({ what: `expected at least ${least}, got ${quoted(text)}` });
}

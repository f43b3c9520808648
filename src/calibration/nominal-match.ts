import { formatQuantity } from '../units/format.js';

/**
 * Share by which the measured ohms of a load may differ from its nominal value without a word. A load of 4 ohm in the place of
 * one of 8 ohm doubles watts and current at every level, and no reading of volts shows it. Common practice, no source.
 */
const NEAR = 0.1;
/** Beyond these multiples another common value is as near: 8 ohm is 1.41 times as far from 4 ohm as from 5.66 ohm. */
const LEAST = 0.71;
const MOST = 1.41;

/** `near` the nominal value; `off`, which somebody must have meant; or the ohms of `another` load. */
export type NominalMatch = 'near' | 'off' | 'another';

/** How the measured ohms of a load fit its nominal value. What is no number fits none. */
export function nominalMatch(measured_ohm: number, nominal_ohm: number): NominalMatch {
  const factor = measured_ohm / nominal_ohm;
  if (!(factor >= LEAST && factor <= MOST)) return 'another';
  // 8.8 ohm of 8 comes out a rounding error above a tenth.
  return Math.abs(factor - 1) > NEAR * (1 + 1e-9) ? 'off' : 'near';
}

/** `the 8 ohm load measures 6.9 ohm, 14 % less`. */
export function nominalWords(measured_ohm: number, nominal_ohm: number): string {
  const words = (ohms: number) => formatQuantity(ohms, 'ohm', { trim: true });
  const percent = 100 * (measured_ohm / nominal_ohm - 1);
  const by = `${formatQuantity(Math.abs(percent), '1', { figures: 2 })} %`;
  return `the ${words(nominal_ohm)} load measures ${words(measured_ohm)}, ${by} ${percent < 0 ? 'less' : 'more'}`;
}

import { type Contribution, limits, normal } from '../measure/budget.js';
import { accuracyLimit, accuracyText } from './accuracy.js';
import type { ValueKeys } from './record-schema.js';

/** A standard uncertainty as somebody wrote it down, with nothing said of how it came about. */
export const calibration = (
  part: string,
  from: string,
  standard_percent: number,
  freedom: number | null = null,
): Contribution => normal(`${part}: calibration (${from})`, 'B', standard_percent, freedom);

/**
 * What stands behind the value of a record; null when it states nothing.
 *
 * A meter's accuracy gives limits, which become a standard uncertainty by the root of three (JCGM 100:2008, 4.3.7,
 * clause from memory). Linearity and stability are limits too, and stand beside it.
 *
 * @param part of the bench, as in `input 1`
 * @param from where it is written, as in `record left-input`
 */
export function statedBy(keys: ValueKeys, part: string, from: string): Contribution[] | null {
  const { uncertainty, freedom, accuracy, linearity, stability } = keys;
  const stated: Contribution[] = [];
  if (uncertainty !== undefined) stated.push(calibration(part, from, uncertainty, freedom ?? null));
  if (accuracy !== undefined)
    stated.push(limits(`${part}: meter ${accuracyText(accuracy)} (${from})`, accuracyPercent(keys)));
  if (linearity !== undefined) stated.push(limits(`${part}: linearity (${from})`, linearity));
  if (stability !== undefined) stated.push(limits(`${part}: stability (${from})`, stability));
  return stated.length === 0 ? null : stated;
}

/** What the meter showed: as written, or the value itself, which for volts at full scale means their rms. */
export function meterReadingOf(keys: ValueKeys): number | null {
  if (keys.reading !== undefined) return keys.reading;
  switch (keys.kind) {
    case 'attenuator':
      return null;
    case 'output':
    case 'input':
      return keys.value / Math.SQRT2;
    default:
      return keys.value;
  }
}

/**
 * The meter's limits in percent of the value. Volts at full scale and ratios go in proportion with the reading; ohms
 * are a reading less what the leads have, so that the limits in ohms stay as they are.
 */
export function accuracyPercent(keys: ValueKeys): number {
  const { accuracy, resolution = 0 } = keys;
  if (accuracy === undefined) return 0;
  const reading = meterReadingOf(keys);
  // Without a reading only a share of it can be stated: the faults of a record see to that.
  if (reading === null) return accuracy.percent;
  const base = keys.kind === 'load' || keys.kind === 'shunt' ? keys.value : reading;
  return (100 * accuracyLimit(accuracy, reading, resolution)) / base;
}

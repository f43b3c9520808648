import { accuracyLimit, type MeterAccuracy } from '../calibration/accuracy.js';
import { type Contribution, limits } from '../measure/budget.js';

/** A meter's specification for one range. */
export interface Accuracy extends MeterAccuracy {
  /** One count, in the unit of the reading. */
  readonly resolution: number;
}

/** Half-width of the limits of one reading, in its unit. */
export function limitOf(accuracy: Accuracy, reading: number): number {
  return accuracyLimit(accuracy, reading, accuracy.resolution);
}

/** The part of the limits that does not grow with the reading. */
export function countsLimit({ counts, resolution }: Accuracy): number {
  return counts * resolution;
}

/** A contribution of which only limits are known, left out where the limits are zero. */
export function rectangular(source: string, halfWidth_percent: number): Contribution[] {
  return halfWidth_percent > 0 ? [limits(source, halfWidth_percent)] : [];
}

/** What plugging a cable out and in does to a level, limits in percent: common practice, no source. */
const CONTACT_PERCENT = 0.02;

/** The contacts of a cable that was plugged in for a calibration and out again. */
export function contacts(source: string): Contribution[] {
  return rectangular(`${source}: contacts of the cable`, CONTACT_PERCENT);
}

/** A contribution from a series of trials, left out where they did not scatter. */
export function scatter(source: string, standard_percent: number, freedom: number): Contribution[] {
  if (!(standard_percent > 0)) return [];
  return [{ source, type: 'A', distribution: 'normal', standard_percent, freedom }];
}

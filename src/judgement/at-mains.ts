import { findingsOf } from '../record/findings-of.js';
import type { RunRecord } from '../record/run-record.js';

/** A mains voltage is set by hand, to within this. */
const NEAR = 0.01;

/** A run as far as it was made at one mains voltage. */
export interface MainsPart {
  readonly record: RunRecord;
  /** The voltage that was set, where the run says one; else null. */
  readonly mains_V: number | null;
  /** Whether the run had others as well, which are left out. */
  readonly several: boolean;
}

/**
 * Of a run at several mains voltages the part at one: powers at a low mains say nothing about a claim at the nominal
 * one. Points at which nobody set a voltage stay.
 *
 * @param wanted_V the voltage to take; null, or one that the run had not: the highest, in favour of the unit
 */
export function atMains(record: RunRecord, wanted_V: number | null): MainsPart {
  const set = [...new Set(record.points.flatMap(({ mains_V }) => (mains_V === null ? [] : [mains_V])))];
  if (set.length === 0) return { record, mains_V: null, several: false };
  const mains_V = set.find((volts) => isNear(volts, wanted_V)) ?? Math.max(...set);
  if (set.length === 1) return { record, mains_V, several: false };
  const points = record.points.filter((point) => point.mains_V === null || point.mains_V === mains_V);
  const numbers = new Set(points.map(({ number }) => number));
  const steps = new Set(points.map(({ step }) => step));
  return {
    record: {
      ...record,
      points,
      readings: record.readings.filter(({ point }) => numbers.has(point)),
      findings: findingsOf(record).filter(({ setting }) => steps.has(setting.step)),
    },
    mains_V,
    several: true,
  };
}

/** Whether a voltage that was set is that of a claim. */
export const isNear = (volts: number, wanted_V: number | null): boolean =>
  wanted_V !== null && Math.abs(volts / wanted_V - 1) <= NEAR;

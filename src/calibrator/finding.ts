import type { RecordKind } from '../calibration/chain.js';
import type { FloorPoint } from '../calibration/floor.js';
import type { ResponsePoint } from '../calibration/response.js';
import { type Budget, budgetOf, type Contribution, weighed } from '../measure/budget.js';
import { rectangular } from './accuracy.js';

/** What a load calibration knows beyond the cold ohms. */
export interface LoadExtras {
  /** Null: it was read cold only. */
  readonly tempco: { readonly perKelvin: number; readonly standard_perKelvin: number } | null;
  /** `below`: too small for the bridge to tell from nothing; the value is then the most that it can be. */
  readonly inductance: { readonly value_H: number; readonly below: boolean } | null;
}

/** What a procedure found out about one part of the bench. */
export interface CalibrationFinding {
  readonly kind: RecordKind;
  /** Bench channel; null for the floor. */
  readonly channel: number | null;
  readonly nominal_ohm: number | null;
  /** Peak volts at full scale, ratio, ohms, percent; 0 for a response, which consists of its points. */
  readonly value: number;
  /** What stands behind the value, in percent of it. */
  readonly standing: readonly Contribution[];
  /** Largest departure from a straight line over the levels used; null where there is none to tell. */
  readonly linearity_percent: number | null;
  readonly temperature_C: number | null;
  readonly load: LoadExtras | null;
  readonly floor: { readonly points: readonly FloorPoint[]; readonly noise_V: number } | null;
  readonly response: readonly ResponsePoint[] | null;
  /** How it was found, in sentences. */
  readonly notes: readonly string[];
}

const NOTHING = {
  channel: null,
  nominal_ohm: null,
  standing: [],
  linearity_percent: null,
  temperature_C: null,
  load: null,
  floor: null,
  response: null,
  notes: [],
} as const;

/** A finding of which only the parts that matter to its kind are given. */
export function finding(
  parts: Pick<CalibrationFinding, 'kind' | 'value'> & Partial<CalibrationFinding>,
): CalibrationFinding {
  return { ...NOTHING, ...parts };
}

/** Uncertainty of a finding's value, its linearity included. Only the percents in it are of account. */
export function uncertaintyOf({ value, standing, linearity_percent }: CalibrationFinding): Budget {
  const components = weighed([...standing, ...rectangular('linearity', linearity_percent ?? 0)], 1);
  return budgetOf({ quantity: 'voltage', value, unit: 'V', components });
}

import type { FloorPoint } from './floor.js';
import type { ResponsePoint } from './response.js';

/** A standard uncertainty (k = 1) in percent of the value, as it goes into a record. */
export interface DraftUncertainty {
  readonly standard_percent: number;
  /** Degrees of freedom, 1 or more; null: none are stated. */
  readonly freedom: number | null;
}

/** What every record says of how it came about. Null: nothing is said. */
export interface DraftCircumstances {
  /** Year-month-day. */
  readonly date: string;
  readonly due: string | null;
  readonly instrument: string | null;
  readonly serial: string | null;
  readonly by: string | null;
  /** Of the thing measured: the load's own, else the room's. */
  readonly temperature_C: number | null;
  /** Several lines are fine. */
  readonly notes: string | null;
  /** Label of the bench, for people. */
  readonly bench: string | null;
}

/** How well a value is known. Null: nothing is stated. Limits are half-widths, taken as rectangular. */
export interface DraftBasis {
  readonly uncertainty: DraftUncertainty | null;
  /** Only beside an uncertainty. */
  readonly linearityLimits_percent: number | null;
  readonly stabilityLimits_percent: number | null;
}

/** A gain, ratio or shunt. `value`: peak volts at digital full scale, ratio, ohms. */
export interface DraftValue extends DraftCircumstances, DraftBasis {
  readonly kind: 'output' | 'input' | 'attenuator' | 'shunt';
  readonly channel: number;
  readonly value: number;
}

/** A dummy load; `value` is its resistance at `temperature_C`. Null: left to the bench file. */
export interface DraftLoad extends DraftCircumstances, DraftBasis {
  readonly kind: 'load';
  readonly channel: number;
  readonly nominal_ohm: number;
  readonly value: number;
  readonly tempco_per_K: number | null;
  readonly heating_K_per_W: number | null;
  /** Share by which the warming correction may be wrong. */
  readonly warmingLimits: number | null;
  readonly inductance_H: number | null;
}

/** The bench's own residue, as a table. */
export interface DraftFloor extends DraftCircumstances {
  readonly kind: 'floor';
  readonly points: readonly FloorPoint[];
  /** Rms noise at the input, for information. */
  readonly noise_V: number | null;
}

/** Level of one channel's way from the tap to the converter code against frequency. */
export interface DraftResponse extends DraftCircumstances {
  readonly kind: 'response';
  readonly channel: number;
  readonly points: readonly ResponsePoint[];
}

/** A calibration record before it is written. */
export type DraftRecord = DraftValue | DraftLoad | DraftFloor | DraftResponse;

import type { Contribution } from '../measure/budget.js';
import type { Floor } from './floor.js';
import type { Response } from './response.js';

export type RecordKind = 'output' | 'input' | 'attenuator' | 'load' | 'shunt' | 'floor' | 'response';

/** A calibration record as it was used: its full text travels with every run. */
export interface CalibrationRecord {
  /** Name of the file, without its ending. */
  readonly id: string;
  readonly kind: RecordKind;
  readonly date: string | null;
  /** Last day on which it holds. */
  readonly due: string | null;
  readonly text: string;
  readonly sha256: string;
}

/** A dummy load. `measured_ohm` is its resistance at `measuredAt_C`; readings correct it for its warmth. */
export interface Load {
  /** Which load it is, whatever channel or bench it hangs on; absent: the one of its channel. */
  readonly label?: string;
  readonly nominal_ohm: number;
  readonly measured_ohm: number;
  /** Temperature at which it was measured; null: not stated, taken as that of the room. */
  readonly measuredAt_C: number | null;
  /** Continuous rating: the mean power of a run never passes it. */
  readonly rating_W: number;
  /** Most it takes for seconds, with rests in between; the continuous rating where nothing else is stated. */
  readonly shortRating_W: number;
  /** Seconds that the load's temperature takes to follow its power (first order). */
  readonly thermal_s: number;
  readonly inductance_H: number;
  readonly tempco_per_K: number;
  /** Kelvins above the room for every watt, when it has settled. */
  readonly heating_K_per_W: number;
  /** Limits of the share by which the warming correction may be wrong (0.5: by half of itself). */
  readonly warmingLimits: number;
  /** What stands behind `measured_ohm`; null when nobody stated it. */
  readonly stated: readonly Contribution[] | null;
}

/** A shunt in series with a load, read by an interface input of its own: what tells a load's ohms while it works. */
export interface CurrentTap {
  /** Interface input, from 1, and its peak volts at digital full scale. */
  readonly input: number;
  readonly fullScale_Vpk: number;
  readonly shunt_ohm: number;
  /** What stands behind the shunt and its input together; null when nobody stated it. */
  readonly stated: readonly Contribution[] | null;
}

/** One bench channel: the way from converter code to unit input, and from load back to converter code. */
export interface ChannelChain {
  /** Bench channel number, from 1. */
  readonly channel: number;
  /** Interface channels, from 1. */
  readonly output: number;
  readonly input: number;
  /** Peak volts at digital full scale (sample value 1.0), at 1 kHz. */
  readonly outputFullScale_Vpk: number;
  readonly inputFullScale_Vpk: number;
  /** Load volts divided by interface input volts, 1 or more, at 1 kHz. */
  readonly attenuator_ratio: number;
  /** Most peak volts the attenuator may see. */
  readonly attenuatorRating_Vpk: number;
  /** One load per nominal value that this channel can be given. */
  readonly loads: readonly Load[];
  /** Null: this channel has none, so what hangs on it is taken as said. */
  readonly current: CurrentTap | null;
  /** What stands behind outputs, inputs and attenuator; null where nobody stated it. */
  readonly outputStated: readonly Contribution[] | null;
  readonly inputStated: readonly Contribution[] | null;
  readonly attenuatorStated: readonly Contribution[] | null;
  /** Level of the way from the tap to the converter code against frequency; null: not recorded, taken as flat. */
  readonly response: Response | null;
  /** Limits within which that way is flat from 20 Hz to 20 kHz, for want of a record; null: not stated. */
  readonly flatness_dB: number | null;
  readonly records: readonly CalibrationRecord[];
}

/** What a bench must tell of itself to be looked over. A read bench file has all of it. */
export interface SurveyedBench {
  /** A simulated bench has a perfect clock. */
  readonly kind: string;
  readonly rate_Hz: number;
  readonly channels: readonly ChannelChain[];
  readonly assumedGain_dB: number;
  readonly floor: Floor | null;
  readonly floorRecord?: CalibrationRecord | null;
  readonly clockLimits_ppm: number | null;
  /** Year-month-day against which calibrations are due. */
  readonly day: string;
}

/** Load volts for a captured sample value of 1.0, at 1 kHz. */
export function loadVoltsPerUnit(chain: ChannelChain): number {
  return chain.inputFullScale_Vpk * chain.attenuator_ratio;
}

/** `load 1 (8 ohm)`: a channel may have several. */
export const loadName = (channel: number, nominal_ohm: number): string =>
  `load ${channel} (${nominal_ohm} ohm)`;

/** Whether a record no longer holds on a day (year-month-day). */
export function overdueOn(record: CalibrationRecord, day: string): boolean {
  return record.due !== null && record.due < day;
}

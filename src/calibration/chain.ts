/** A calibration record as it was used: its full text travels with every run. */
export interface CalibrationRecord {
  readonly id: string;
  readonly kind: 'output' | 'input' | 'attenuator' | 'load' | 'floor';
  readonly value: number;
  readonly unit: string;
  /** Standard uncertainty in percent of the value; null when the record states none. */
  readonly uncertainty_percent: number | null;
  readonly date: string | null;
  readonly due: string | null;
  readonly text: string;
  readonly sha256: string;
}

/** A dummy load. `measured_ohm` is what power is computed with. */
export interface Load {
  readonly nominal_ohm: number;
  readonly measured_ohm: number;
  /** Continuous rating: the mean power of a run never passes it. */
  readonly rating_W: number;
  /** Most it takes for seconds, with rests in between; the continuous rating where nothing else is stated. */
  readonly shortRating_W: number;
  /** Seconds that the load's temperature takes to follow its power (first order). */
  readonly thermal_s: number;
  readonly inductance_H: number;
  readonly tempco_per_K: number;
  readonly heating_K_per_W: number;
  readonly uncertainty_percent: number | null;
}

/** One bench channel: the way from converter code to unit input, and from load back to converter code. */
export interface ChannelChain {
  /** Bench channel number, from 1. */
  readonly channel: number;
  /** Interface channels, from 1. */
  readonly output: number;
  readonly input: number;
  /** Peak volts at digital full scale (sample value 1.0). */
  readonly outputFullScale_Vpk: number;
  readonly inputFullScale_Vpk: number;
  /** Load volts divided by interface input volts, 1 or more. */
  readonly attenuator_ratio: number;
  /** Most peak volts the attenuator may see. */
  readonly attenuatorRating_Vpk: number;
  /** One load per nominal value that this channel can be given. */
  readonly loads: readonly Load[];
  /** Standard uncertainties in percent of the volts; null where nothing is stated. */
  readonly inputUncertainty_percent: number | null;
  readonly attenuatorUncertainty_percent: number | null;
  readonly records: readonly CalibrationRecord[];
}

/** Load volts for a captured sample value of 1.0. */
export function loadVoltsPerUnit(chain: ChannelChain): number {
  return chain.inputFullScale_Vpk * chain.attenuator_ratio;
}

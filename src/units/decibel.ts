import {
  type Decibels,
  decibels,
  type Ratio,
  ratio,
  type Volts,
  volts,
  type Watts,
  watts,
} from './quantity.js';

/** 0 dBu: the voltage that puts 1 mW into 600 ohm, the root of 0.6 V² (handbook usage). */
const ZERO_DBU_V = Math.sqrt(0.6);

/** Decibels of a ratio of powers. Zero gives minus infinity. */
export const decibelsOfPower = (powers: number): Decibels => decibels(10 * Math.log10(powers));

/** Decibels of a ratio of voltages. Zero gives minus infinity. */
export const decibelsOfVoltage = (voltages: number): Decibels => decibels(20 * Math.log10(voltages));

/** The ratio of powers that a number of decibels stands for. */
export const powerRatio = (level: Decibels): Ratio => ratio(10 ** (level / 10));

/** The ratio of voltages that a number of decibels stands for. */
export const voltageRatio = (level: Decibels): Ratio => ratio(10 ** (level / 20));

/** Power relative to 1 W. */
export const dBW = (power: Watts): Decibels => decibelsOfPower(power);

/** Voltage relative to 1 V rms. */
export const dBV = (voltage: Volts): Decibels => decibelsOfVoltage(voltage);

/** Voltage relative to 0.7746 V rms. */
export const dBu = (voltage: Volts): Decibels => decibelsOfVoltage(voltage / ZERO_DBU_V);

/** Inverse of `dBW`. */
export const fromDBW = (level: Decibels): Watts => watts(powerRatio(level));

/** Inverse of `dBV`. */
export const fromDBV = (level: Decibels): Volts => volts(voltageRatio(level));

/** Inverse of `dBu`. */
export const fromDBu = (level: Decibels): Volts => volts(ZERO_DBU_V * voltageRatio(level));

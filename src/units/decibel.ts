import { type Decibels, decibels, type Ratio, ratio, type Watts, watts } from './quantity.js';

/*
 * The only place where decibels are made and undone. Plain numbers go in, since every caller names their unit
 * (`power_W`, `level_dB`); what comes out carries it in its type.
 */

/** Decibels of a ratio of powers. Zero gives minus infinity. */
export const decibelsOfPower = (powers: number): Decibels => decibels(10 * Math.log10(powers));

/** Decibels of a ratio of voltages. Zero gives minus infinity. */
export const decibelsOfVoltage = (voltages: number): Decibels => decibels(20 * Math.log10(voltages));

/** The ratio of powers that a number of decibels stands for. */
export const powerRatio = (level_dB: number): Ratio => ratio(10 ** (level_dB / 10));

/** The ratio of voltages that a number of decibels stands for. */
export const voltageRatio = (level_dB: number): Ratio => ratio(10 ** (level_dB / 20));

/** Power relative to 1 W. */
export const dBW = (power_W: number): Decibels => decibelsOfPower(power_W);

/** Voltage relative to 1 V rms. */
export const dBV = (voltage_V: number): Decibels => decibelsOfVoltage(voltage_V);

/** Inverse of `dBW`. */
export const fromDBW = (level_dBW: number): Watts => watts(powerRatio(level_dBW));

import { dBV, dBW } from '../units/decibel.js';
import { currentFor, peakOfSine, voltageFor } from '../units/ohms-law.js';
import { ohms, watts } from '../units/quantity.js';
import type { Claim } from './claim.js';

/** What a claimed power of a sine means in other quantities; null without a load. */
export interface ClaimFigures {
  readonly level_dBW: number;
  readonly voltage_V: number | null;
  readonly voltage_Vpk: number | null;
  readonly voltage_dBV: number | null;
  readonly current_A: number | null;
  readonly current_Apk: number | null;
}

/** Handbook arithmetic (Ohm's and Joule's law), for a sine into a resistive load. All exact. */
export function claimFigures({ power_W, load_ohm }: Claim): ClaimFigures {
  const level_dBW = dBW(watts(power_W));
  if (load_ohm === null)
    return {
      level_dBW,
      voltage_V: null,
      voltage_Vpk: null,
      voltage_dBV: null,
      current_A: null,
      current_Apk: null,
    };
  const voltage_V = voltageFor(watts(power_W), ohms(load_ohm));
  const current_A = currentFor(watts(power_W), ohms(load_ohm));
  return {
    level_dBW,
    voltage_V,
    voltage_Vpk: peakOfSine(voltage_V),
    voltage_dBV: dBV(voltage_V),
    current_A,
    current_Apk: peakOfSine(current_A),
  };
}

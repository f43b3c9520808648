import { dBV, dBW } from '../../units/decibel.js';
import { currentFor, peakOfSine, voltageFor } from '../../units/ohms-law.js';
import { ohms, watts } from '../../units/quantity.js';
import { type Claim, sharedBy } from './claim.js';

/**
 * What a claimed power of a sine means in other quantities: volts and amps are those of one load, null without one or
 * where it is not said how many loads share the power.
 */
export interface ClaimFigures {
  readonly level_dBW: number;
  readonly voltage_V: number | null;
  readonly voltage_Vpk: number | null;
  readonly voltage_dBV: number | null;
  readonly current_A: number | null;
  readonly current_Apk: number | null;
}

/**
 * Handbook arithmetic (Ohm's and Joule's law), for a sine into a resistive load; all exact. A sum is taken as shared
 * equally.
 */
export function claimFigures(claim: Claim): ClaimFigures {
  const { load_ohm } = claim;
  const level_dBW = dBW(watts(claim.power_W));
  const count = sharedBy(claim);
  if (load_ohm === null || count === null)
    return {
      level_dBW,
      voltage_V: null,
      voltage_Vpk: null,
      voltage_dBV: null,
      current_A: null,
      current_Apk: null,
    };
  const share = watts(claim.power_W / count);
  const voltage_V = voltageFor(share, ohms(load_ohm));
  const current_A = currentFor(share, ohms(load_ohm));
  return {
    level_dBW,
    voltage_V,
    voltage_Vpk: peakOfSine(voltage_V),
    voltage_dBV: dBV(voltage_V),
    current_A,
    current_Apk: peakOfSine(current_A),
  };
}

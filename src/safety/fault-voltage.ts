import type { UnitSupply } from '../bench/unit-supply.js';
import { formatQuantity } from '../units/format.js';

/** The highest voltage at an output when the unit fails, peak or DC. */
export interface FaultVoltage {
  readonly voltage_V: number;
  /** How high either terminal can stand above ground: what a common-mode rating must cover. */
  readonly toGround_V: number;
  /** What it is, in words that follow the figure. */
  readonly words: string;
}

/**
 * The highest voltage that the supply can put on an output, which every part on the output must be rated for: one rail
 * to ground; rail to rail across a bridge on a split supply; the supply itself on a single supply, across a bridge or
 * behind an output capacitor that has failed; what was stated otherwise. Null where it is not known.
 */
export function faultVoltage(supply: UnitSupply | null | undefined): FaultVoltage | null {
  if (!supply) return null;
  switch (supply.kind) {
    case 'split': {
      const { rail_V } = supply;
      return supply.outputs === 'bridged'
        ? { voltage_V: 2 * rail_V, toGround_V: rail_V, words: 'rail to rail' }
        : { voltage_V: rail_V, toGround_V: rail_V, words: 'one rail to ground' };
    }
    case 'single':
      return { voltage_V: supply.supply_V, toGround_V: supply.supply_V, words: 'the whole supply' };
    case 'fault': {
      const words =
        supply.outputs === 'transformer'
          ? 'the fault case of the output transformer'
          : 'as stated at the bench';
      return { voltage_V: supply.fault_V, toGround_V: supply.fault_V, words };
    }
    default:
      return supply satisfies never;
  }
}

/** `112.0 V (rail to rail)`, or what it is where nobody has said how much. */
export const faultWords = (fault: FaultVoltage | null): string =>
  fault
    ? `${formatQuantity(fault.voltage_V, 'V')} (${fault.words})`
    : "the highest voltage that the unit's supply can put there";

/** What is asked of the person at the bench where the bench file states no supply. */
export const SUPPLY_QUESTION =
  "What is the highest voltage that the unit's supply can put on an output, in volts? Single-ended output, split supply: " +
  'one rail to ground. Bridged output, split supply: rail to rail. Single supply: the whole supply. Output transformer: ' +
  'its own fault case (SAFETY.md). Measure it or ask the maker; do not guess:';

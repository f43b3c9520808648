import type { BenchReading } from './bench-reading.js';
import type { UnitSupplyKeys } from './bench-schema.js';
import type { UnitSupply } from './unit-supply.js';

/** The supply as the bench file states it; null where it states none. Faults are noted in `reading`. */
export function statedSupply(reading: BenchReading, keys: UnitSupplyKeys | undefined): UnitSupply | null {
  if (!keys) return null;
  const { outputs, rails, single, fault } = keys;
  const stated = [rails, single, fault].filter((volts) => volts !== undefined).length;
  if (stated === 1 && outputs === 'transformer' && fault !== undefined)
    return { kind: 'fault', outputs, fault_V: fault };
  if (stated === 1 && outputs !== 'transformer') {
    if (rails !== undefined) return { kind: 'split', outputs, rail_V: rails };
    if (single !== undefined) return { kind: 'single', outputs, supply_V: single };
  }
  reading.complain(
    ['unit_supply'],
    `'outputs: ${outputs}' needs exactly one voltage of its own kind`,
    outputs === 'transformer'
      ? "give 'fault': the highest voltage that the outputs can carry if the unit fails, as in fault: 450 V"
      : "give 'rails' (a split supply, one rail to ground, as in rails: 56 V) or 'single' (one supply, as in single: 14.4 V)",
  );
  return null;
}

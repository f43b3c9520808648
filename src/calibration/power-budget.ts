import { type Budget, budgetOf, type Component, limits, weighed } from '../measure/budget.js';
import { type Load, loadName } from './chain.js';
import { type Contributions, type MeasuredLevel, voltageContributions } from './level-contributions.js';
import { ROOM_LIMITS_K } from './warm-load.js';

/** A level in a load that has warmed. */
export interface MeasuredPower extends MeasuredLevel {
  readonly load: Load;
  /** Resistance that the power was computed with. */
  readonly warm_ohm: number;
}

/** Uncertainty budget of a voltage at the load. */
export function voltageBudget(level: MeasuredLevel): Budget {
  return budgetOf({
    quantity: 'voltage',
    value: level.voltage_V,
    unit: 'V',
    ...voltageContributions(level),
  });
}

/** Uncertainty budget of a power V^2 / R. */
export function powerBudget(power: MeasuredPower): Budget {
  return budgetOf({
    quantity: 'power',
    value: power.voltage_V ** 2 / power.warm_ohm,
    unit: 'W',
    ...powerContributions(power),
  });
}

/** What makes a power uncertain: the voltage twice, the load once and the other way round (P = V^2 / R). */
export function powerContributions(power: MeasuredPower): Contributions {
  const voltage = voltageContributions(power);
  const ohms = loadContributions(power);
  return {
    components: [...doubled(voltage.components), ...ohms.components],
    missing: [...voltage.missing, ...ohms.missing],
  };
}

/** What makes the ohms uncertain that a power is divided by, with the sign with which they count. */
export function loadContributions(power: MeasuredPower): Contributions {
  const { load, chain } = power;
  return {
    components: [...weighed(load.stated ?? [], -1), ...warmth(power)],
    missing: load.stated ? [] : [loadName(chain.channel, load.nominal_ohm)],
  };
}

function doubled(components: readonly Component[]): Component[] {
  return components.map((component) => ({ ...component, sensitivity: 2 * component.sensitivity }));
}

/** The correction for the load's own heat is good within its limits; the room may be warmer or colder than it was. */
function warmth({ chain, load, warm_ohm }: MeasuredPower): Component[] {
  const name = loadName(chain.channel, load.nominal_ohm);
  const correction = Math.abs(warm_ohm - load.measured_ohm) / warm_ohm;
  const room = (Math.abs(load.tempco_per_K) * ROOM_LIMITS_K * load.measured_ohm) / warm_ohm;
  return weighed(
    [
      ...(correction > 0
        ? [limits(`${name}: correction for its warmth`, 100 * correction * load.warmingLimits)]
        : []),
      ...(room > 0
        ? [limits(`${name}: room within ${ROOM_LIMITS_K} K of its calibration (common practice)`, 100 * room)]
        : []),
    ],
    -1,
  );
}

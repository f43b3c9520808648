import type { Load } from './chain.js';

/** Limits of the temperature of a room around that at which a load was measured: common practice, no source. */
export const ROOM_LIMITS_K = 5;

/**
 * Resistance of a load that has been given `mean_W` by the first-order mean of its power.
 *
 * R = R0 (1 + tempco x heating x mean). The room is taken to be as warm as when the load was measured; how far it may
 * differ is `ROOM_LIMITS_K`, which belongs in the budget.
 */
export function warmResistance_ohm(load: Load, mean_W: number): number {
  return load.measured_ohm * (1 + load.tempco_per_K * load.heating_K_per_W * mean_W);
}

/**
 * What the supply of the unit can put on its outputs when the unit fails: volts of the supply with the way in which the
 * outputs stand on it, or what its outputs can carry in their own fault case. Volts are peak or DC.
 */
export type UnitSupply =
  /** A positive and a negative rail about ground. */
  | { readonly kind: 'split'; readonly outputs: 'single-ended' | 'bridged'; readonly rail_V: number }
  /** One supply; a single-ended output has a capacitor in series. */
  | { readonly kind: 'single'; readonly outputs: 'single-ended' | 'bridged'; readonly supply_V: number }
  /** As it was stated: an output transformer, or what a person at the bench has typed (null: outputs of any kind). */
  | { readonly kind: 'fault'; readonly outputs: 'transformer' | null; readonly fault_V: number };

/** Coverage factor for a level of confidence of about 95 %. */
export const COVERAGE_FACTOR = 2;

/** Standard uncertainties, in percent of each quantity, of what P = V^2 / R is computed from. */
export interface PowerParts {
  /** Converter gain, its frequency response, attenuator, meter, repeatability of the voltage: one figure each. */
  readonly voltage_percent: readonly number[];
  readonly resistance_percent: readonly number[];
  /** Of the power directly, such as its repeatability. */
  readonly power_percent?: readonly number[];
}

/** Standard uncertainty of a quantity known only to lie within +-`halfWidth` (rectangular; JCGM 100:2008, 4.3.7). */
export function fromLimits(halfWidth: number): number {
  return halfWidth / Math.sqrt(3);
}

/**
 * Combined standard uncertainty of a power, percent: root of the summed squares of the independent parts
 * (JCGM 100:2008, 5.1.2), each times its sensitivity, which relative to P is 2 for volts and 1 for ohms.
 */
export function standardPowerUncertainty(parts: PowerParts): number {
  const { voltage_percent, resistance_percent, power_percent = [] } = parts;
  return Math.hypot(...voltage_percent.map((u) => 2 * u), ...resistance_percent, ...power_percent);
}

/** Expanded uncertainty (k = 2) of a power, percent. */
export function expandedPowerUncertainty(parts: PowerParts): number {
  return COVERAGE_FACTOR * standardPowerUncertainty(parts);
}

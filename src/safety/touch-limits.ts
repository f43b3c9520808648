/**
 * Voltages commonly cited as the border of what may be touched. They describe a hazard; nothing in ohmest
 * protects from it. Local codes and the current edition of each standard decide.
 */
export interface TouchLimit {
  readonly rms_V: number;
  readonly peak_V: number;
  readonly words: string;
  readonly source: string;
}

/** Hazardous live in wet places: 16 V rms / 22.6 V peak. */
export const WET_LIMIT: TouchLimit = {
  rms_V: 16,
  peak_V: 22.6,
  words: 'hazardous to touch with wet hands or in a wet place',
  source: 'IEC 61010-1, 6.3.1 (values from memory)',
};

/** Hazardous live in dry places: 30 V rms / 42.4 V peak. */
export const DRY_LIMIT: TouchLimit = {
  rms_V: 30,
  peak_V: 42.4,
  words: 'hazardous to touch even with dry hands',
  source: 'IEC 61010-1, 6.3.1 (clause from memory)',
};

/** The second energy class ends at 50 V rms / 70.7 V peak. */
export const GUARD_LIMIT: TouchLimit = {
  rms_V: 50,
  peak_V: 70.7,
  words: 'so high that terminals must be out of reach while they are live',
  source: 'IEC 62368-1, ES2 limit to 1 kHz (from memory)',
};

/** The highest limit that a voltage passes; null when it stays below all of them. */
export function limitPassed(voltage_Vrms: number, voltage_Vpk: number): TouchLimit | null {
  const passes = (limit: TouchLimit) => voltage_Vrms > limit.rms_V || voltage_Vpk > limit.peak_V;
  return [GUARD_LIMIT, DRY_LIMIT, WET_LIMIT].find(passes) ?? null;
}

/** Bare metal burns skin at 65 to 70 degC within a second (ISO 13732-1, from memory). */
export const BURN_degC = 65;

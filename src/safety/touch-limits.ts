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

/** Hazardous live in dry places: 30 V rms / 42.4 V peak. */
export const DRY_LIMIT: TouchLimit = {
  rms_V: 30,
  peak_V: 42.4,
  words: 'hazardous to touch even with dry hands',
  source: 'IEC 61010-1, hazardous live in normal condition',
};

/** The second energy class ends at 70.7 V peak, which is 50 V rms of a sine. */
export const GUARD_LIMIT: TouchLimit = {
  rms_V: 50,
  peak_V: 70.7,
  words: 'so high that terminals must be out of reach while they are live',
  source: 'IEC 62368-1, limit of class ES2 to 1 kHz',
};

/** The highest limit that a voltage passes; null when it stays below all of them. */
export function limitPassed(voltage_Vrms: number, voltage_Vpk: number): TouchLimit | null {
  const passes = (limit: TouchLimit) => voltage_Vrms > limit.rms_V || voltage_Vpk > limit.peak_V;
  return [GUARD_LIMIT, DRY_LIMIT].find(passes) ?? null;
}

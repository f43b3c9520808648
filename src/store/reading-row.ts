import type { Gap, Harmonic } from '../measure/analysis.js';
import type { FlagCode } from '../measure/flags.js';
import type { Reading, Spectrum } from '../record/run-record.js';
import { fromJson, toJson } from './exact-json.js';
import type { Row } from './insert-into.js';

/** Fields that always hold a number. SQLite stores a NaN as NULL, and it comes back as NaN. */
const FIGURES = [
  'frequency_Hz',
  'load_measured_ohm',
  'power_W',
  'voltage_V',
  'fundamental_V',
  'noise_V',
  'dc_V',
  'peak_V',
  'crest_factor',
  'thdn_percent',
  'sinad_dB',
  'gain_dB',
] as const satisfies readonly (keyof Reading)[];

/** Fields that are stored as they are. */
const PLAIN = [
  'channel',
  'uncertainty_W',
  'thd_percent',
  'thdr_percent',
  'harmonics_in_band',
  'method',
] as const satisfies readonly (keyof Reading)[];

const DERIVED = ['band_low_Hz', 'band_high_Hz', 'flags', 'gaps'] as const;

export const READING_COLUMNS = ['run', 'point', ...FIGURES, ...PLAIN, ...DERIVED] as const;

/** A row of `readings` with what the reader joins to it. */
export interface ReadingRow extends Record<(typeof FIGURES)[number], number | null> {
  readonly id: number;
  readonly point: number;
  readonly step: string;
  readonly load_ohm: number;
  readonly channel: number;
  readonly uncertainty_W: number | null;
  readonly thd_percent: number | null;
  readonly thdr_percent: number | null;
  readonly harmonics_in_band: number;
  readonly method: Reading['method'];
  readonly band_low_Hz: number | null;
  readonly band_high_Hz: number | null;
  readonly flags: string;
  readonly gaps: string;
  /** File of the capture that holds this channel, if one was kept. */
  readonly capture: string | null;
}

const pick = <T, K extends keyof T>(from: T, keys: readonly K[]): Pick<T, K> =>
  Object.fromEntries(keys.map((key) => [key, from[key]])) as Pick<T, K>;

/** The row of a reading. `step` and `load_ohm` are the point's; harmonics, spectrum and capture have their own tables. */
export function toReadingRow(run: number, reading: Reading): Row<(typeof READING_COLUMNS)[number]> {
  const [band_low_Hz, band_high_Hz] = reading.band_Hz;
  return {
    run,
    point: reading.point,
    ...pick(reading, FIGURES),
    ...pick(reading, PLAIN),
    band_low_Hz,
    band_high_Hz,
    flags: toJson(reading.flags),
    gaps: toJson(reading.gaps),
  };
}

/** The reading that a row and its companions stand for. */
export function fromReadingRow(
  row: ReadingRow,
  harmonics: readonly Harmonic[],
  spectrum: Spectrum | null,
): Reading {
  const figures = Object.fromEntries(FIGURES.map((key) => [key, row[key] ?? Number.NaN])) as Pick<
    Reading,
    (typeof FIGURES)[number]
  >;
  return {
    ...pick(row, ['point', 'step', 'load_ohm', 'capture']),
    ...pick(row, PLAIN),
    ...figures,
    harmonics,
    band_Hz: [row.band_low_Hz ?? Number.NaN, row.band_high_Hz ?? Number.NaN],
    flags: fromJson(row.flags) as FlagCode[],
    gaps: fromJson(row.gaps) as Gap[],
    spectrum,
  };
}

import type { Gap, Harmonic } from '../measure/analysis.js';
import type { FlagCode } from '../measure/flags.js';
import type { Settling } from '../measure/settled.js';
import { fromJson, toJson } from '../record/exact-json.js';
import type { Reading, Spectrum } from '../record/run-record.js';
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
  'voltage_uncertainty_V',
  'thdn_uncertainty_percent',
  'current_A',
  'load_seen_ohm',
  'thd_percent',
  'thdr_percent',
  'harmonics_in_band',
  'method',
] as const satisfies readonly (keyof Reading)[];

const DERIVED = ['band_low_Hz', 'band_high_Hz', 'flags', 'gaps'] as const;

/** Written with a reading but no part of it: see `readSettlings`. */
const BESIDE = ['level_moved', 'residue_moved'] as const;

/** The columns that a reading is made from. */
export const READING_COLUMNS = ['run', 'point', ...FIGURES, ...PLAIN, ...DERIVED] as const;
export const WRITTEN_COLUMNS = [...READING_COLUMNS, ...BESIDE] as const;

/** A row of `readings` with what the reader joins to it. */
export type ReadingRow = Record<(typeof FIGURES)[number], number | null> &
  Pick<Reading, (typeof PLAIN)[number] | 'point' | 'step' | 'load_ohm' | 'capture'> & {
    readonly id: number;
    readonly band_low_Hz: number | null;
    readonly band_high_Hz: number | null;
    readonly flags: string;
    readonly gaps: string;
  };

/** The row of a reading. `step` and `load_ohm` are the point's; harmonics, spectrum and capture have their own tables. */
export function toReadingRow(
  run: number,
  reading: Reading,
  settling: Pick<Settling, 'level' | 'residue'> | null,
): Row<(typeof WRITTEN_COLUMNS)[number]> {
  const { step, load_ohm, capture, harmonics, spectrum, band_Hz, flags, gaps, ...plain } = reading;
  const [band_low_Hz, band_high_Hz] = band_Hz;
  return {
    run,
    ...plain,
    band_low_Hz,
    band_high_Hz,
    flags: toJson(flags),
    gaps: toJson(gaps),
    level_moved: settling?.level ?? null,
    residue_moved: settling?.residue ?? null,
  };
}

/** The reading that a row and its companions stand for. */
export function fromReadingRow(
  row: ReadingRow,
  harmonics: readonly Harmonic[],
  spectrum: Spectrum | null,
): Reading {
  const { id, band_low_Hz, band_high_Hz, flags, gaps, ...plain } = row;
  for (const figure of FIGURES) plain[figure] ??= Number.NaN;
  return {
    ...(plain as Omit<typeof plain, (typeof FIGURES)[number]> & Pick<Reading, (typeof FIGURES)[number]>),
    harmonics,
    band_Hz: [band_low_Hz ?? Number.NaN, band_high_Hz ?? Number.NaN],
    flags: fromJson(flags) as FlagCode[],
    gaps: fromJson(gaps) as Gap[],
    spectrum,
  };
}

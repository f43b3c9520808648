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

/**
 * The reading that a row and its companions stand for. Spelt out field by field: copying the rest of a row takes several
 * times as long, and a database may hold a million.
 */
export function fromReadingRow(
  row: ReadingRow,
  harmonics: readonly Harmonic[],
  spectrum: Spectrum | null,
): Reading {
  return {
    point: row.point,
    frequency_Hz: row.frequency_Hz ?? Number.NaN,
    load_measured_ohm: row.load_measured_ohm ?? Number.NaN,
    power_W: row.power_W ?? Number.NaN,
    voltage_V: row.voltage_V ?? Number.NaN,
    fundamental_V: row.fundamental_V ?? Number.NaN,
    noise_V: row.noise_V ?? Number.NaN,
    dc_V: row.dc_V ?? Number.NaN,
    peak_V: row.peak_V ?? Number.NaN,
    crest_factor: row.crest_factor ?? Number.NaN,
    thdn_percent: row.thdn_percent ?? Number.NaN,
    sinad_dB: row.sinad_dB ?? Number.NaN,
    gain_dB: row.gain_dB ?? Number.NaN,
    channel: row.channel,
    uncertainty_W: row.uncertainty_W,
    voltage_uncertainty_V: row.voltage_uncertainty_V,
    thdn_uncertainty_percent: row.thdn_uncertainty_percent,
    current_A: row.current_A,
    load_seen_ohm: row.load_seen_ohm,
    thd_percent: row.thd_percent,
    thdr_percent: row.thdr_percent,
    harmonics_in_band: row.harmonics_in_band,
    method: row.method,
    step: row.step,
    load_ohm: row.load_ohm,
    capture: row.capture,
    harmonics,
    band_Hz: [row.band_low_Hz ?? Number.NaN, row.band_high_Hz ?? Number.NaN],
    flags: listOf<FlagCode>(row.flags),
    gaps: listOf<Gap>(row.gaps),
    spectrum,
  };
}

/** Nearly all lists are empty. */
const listOf = <T>(text: string): T[] => (text === '[]' ? [] : (fromJson(text) as T[]));

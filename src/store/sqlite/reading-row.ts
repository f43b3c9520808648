import { READING_FIGURES } from '../../bundle/seal.js';
import type { Gap } from '../../measure/analysis.js';
import type { Settling } from '../../measure/settled.js';
import { fromJson, toJson } from '../../record/exact-json.js';
import { knownFlags, storedFlags } from '../../record/known-flags.js';
import type { Reading } from '../../record/run-record.js';
import type { Row } from './insert-into.js';

const DERIVED = ['band_low_Hz', 'band_high_Hz', 'flags', 'gaps'] as const;

/** Written with a reading but no part of it: see `readSettlings`. */
const BESIDE = ['level_moved', 'residue_moved'] as const;

/** The columns that a reading is made from. */
const READING_COLUMNS = [...READING_FIGURES, 'method', ...DERIVED] as const;
export const WRITTEN_COLUMNS = ['run', ...READING_COLUMNS, ...BESIDE] as const;

/** The columns of `readings` to be selected, in this order. */
export const READ_COLUMNS = ['id', ...READING_COLUMNS] as const;

/** Where each of them stands in a row. */
const AT = Object.fromEntries(READ_COLUMNS.map((name, i) => [name, i])) as Record<
  (typeof READ_COLUMNS)[number],
  number
>;

/** A row of `readings`, as bare cells. */
export type ReadingCells = readonly (number | string | null)[];

/** The row of a reading. `step` and `load_ohm` are the point's; harmonics, spectrum and capture have their own tables. */
export function toReadingRow(
  run: number,
  reading: Reading,
  settling: Pick<Settling, 'level' | 'residue'> | null,
): Row<(typeof WRITTEN_COLUMNS)[number]> {
  const {
    step,
    load_ohm,
    capture,
    harmonics,
    spectrum,
    band_Hz,
    flags: _flags,
    unknown_flags: _unknown,
    gaps,
    ...plain
  } = reading;
  const [band_low_Hz, band_high_Hz] = band_Hz;
  return {
    run,
    ...plain,
    band_low_Hz,
    band_high_Hz,
    flags: toJson(storedFlags(reading)),
    gaps: toJson(gaps),
    level_moved: settling?.level ?? null,
    residue_moved: settling?.residue ?? null,
  };
}

/** What a reading is found by in other tables: its number in the database, its point, its channel. */
export const readingKeys = (cells: ReadingCells) => ({
  id: cells[AT.id] as number,
  point: cells[AT.point] as number,
  channel: cells[AT.channel] as number,
});

/** What other tables hold of a reading. */
export type Companions = Pick<Reading, 'step' | 'load_ohm' | 'capture' | 'harmonics' | 'spectrum'>;

/**
 * The reading that a row and its companions stand for. Spelt out field by field: copying what has no other name takes
 * several times as long, and a database may hold a million.
 */
export function fromReadingCells(
  cells: ReadingCells,
  { step, load_ohm, capture, harmonics, spectrum }: Companions,
): Reading {
  return {
    point: cells[AT.point] as number,
    frequency_Hz: figure(cells[AT.frequency_Hz]),
    load_measured_ohm: figure(cells[AT.load_measured_ohm]),
    power_W: figure(cells[AT.power_W]),
    voltage_V: figure(cells[AT.voltage_V]),
    fundamental_V: figure(cells[AT.fundamental_V]),
    noise_V: figure(cells[AT.noise_V]),
    dc_V: figure(cells[AT.dc_V]),
    peak_V: figure(cells[AT.peak_V]),
    crest_factor: figure(cells[AT.crest_factor]),
    thdn_percent: figure(cells[AT.thdn_percent]),
    sinad_dB: figure(cells[AT.sinad_dB]),
    gain_dB: figure(cells[AT.gain_dB]),
    channel: cells[AT.channel] as Reading['channel'],
    uncertainty_W: cells[AT.uncertainty_W] as Reading['uncertainty_W'],
    voltage_uncertainty_V: cells[AT.voltage_uncertainty_V] as Reading['voltage_uncertainty_V'],
    thdn_uncertainty_percent: cells[AT.thdn_uncertainty_percent] as Reading['thdn_uncertainty_percent'],
    current_A: cells[AT.current_A] as Reading['current_A'],
    load_seen_ohm: cells[AT.load_seen_ohm] as Reading['load_seen_ohm'],
    thd_percent: cells[AT.thd_percent] as Reading['thd_percent'],
    thdr_percent: cells[AT.thdr_percent] as Reading['thdr_percent'],
    harmonics_in_band: cells[AT.harmonics_in_band] as Reading['harmonics_in_band'],
    method: cells[AT.method] as Reading['method'],
    step,
    load_ohm,
    capture,
    harmonics,
    band_Hz: [figure(cells[AT.band_low_Hz]), figure(cells[AT.band_high_Hz])],
    ...flagsOf(cells[AT.flags] as string),
    gaps: listOf<Gap>(cells[AT.gaps] as string),
    spectrum,
  };
}

/** SQLite stores a NaN as NULL. */
const figure = (cell: ReadingCells[number] | undefined): number => (cell as number | null) ?? Number.NaN;

const flagsOf = (text: string) => (text === '[]' ? { flags: [] } : knownFlags(fromJson(text) as string[]));

/** Nearly all lists are empty. */
const listOf = <T>(text: string): T[] => (text === '[]' ? [] : (fromJson(text) as T[]));

import Database from 'better-sqlite3';
import { describe, expect, it } from 'vitest';
import { openRuns } from '../../src/store/sqlite/sqlite-runs.js';
import { inventedPoint, inventedReading, inventedRun, recordRun } from './invented-run.js';
import { scratchFile } from './scratch.js';

const now = () => new Date('2026-03-01T10:00:00.000Z');

/** What another program sees that opens the file. */
function seenElsewhere(sql: string): unknown[] {
  const file = scratchFile();
  const store = openRuns(file, { mode: 'create', now });
  recordRun(store, inventedRun('blue box', 2), 'stopped', 'THD+N passed 1 %');
  store.close();
  const elsewhere = new Database(file, { readonly: true });
  try {
    return elsewhere.prepare(sql).all();
  } finally {
    elsewhere.close();
  }
}

const head = {
  run: 1,
  started: '2026-03-01T10:00:00.000Z',
  outcome: 'stopped',
  unit: 'blue box',
  bench: 'invented bench',
};

describe('a database opened in another program', () => {
  it('shows one row per reading in reading_sheet', () => {
    const rows = seenElsewhere('SELECT * FROM reading_sheet ORDER BY point, channel');
    expect(rows).toHaveLength(4);
    const point = inventedPoint(2);
    const reading = inventedReading(point, 2);
    expect(rows[3]).toEqual({
      ...head,
      sequence: 'rated power',
      point: 2,
      step: 'climb-1k',
      step_kind: 'climb',
      nominal_Hz: 1000,
      frequency_Hz: 999.755859375,
      driven: '[1,2]',
      channel: 2,
      load_ohm: 8,
      load_measured_ohm: 8.013,
      load_seen_ohm: reading.load_seen_ohm,
      level_dB: point.level_dB,
      asked_W: point.asked_W,
      power_W: reading.power_W,
      uncertainty_W: null,
      voltage_V: reading.voltage_V,
      voltage_uncertainty_V: reading.voltage_uncertainty_V,
      current_A: reading.current_A,
      thd_percent: 0.0123,
      thdn_percent: 0.0131,
      thdn_uncertainty_percent: reading.thdn_uncertainty_percent,
      sinad_dB: 77.65,
      noise_V: 31e-6,
      dc_V: -0.0021,
      gain_dB: 28.6,
      band_low_Hz: 20,
      band_high_Hz: 20_000,
      at_s: 1.4,
      flags: '["near-input-rail","uncalibrated"]',
    });
  });

  it('shows one row per power found in rated_power', () => {
    const common = { ...head, step: 'climb-1k', driven: '[1,2]', load_ohm: 8, frequency_Hz: 999.755859375 };
    expect(seenElsewhere('SELECT * FROM rated_power')).toEqual([
      {
        ...common,
        channel: 1,
        threshold_percent: 0.1,
        power_W: 100.858,
        uncertainty_W: 1.2,
        bracket_dB: 0.04,
        note: '',
      },
      {
        ...common,
        channel: 2,
        threshold_percent: 1,
        power_W: null,
        uncertainty_W: null,
        bracket_dB: null,
        note: 'the threshold was not crossed up to 200 W',
      },
    ]);
  });
});

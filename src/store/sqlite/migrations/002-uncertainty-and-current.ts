import type { Migration } from './migration.js';

/**
 * Uncertainties of voltage and THD+N beside that of power, and what a current shunt gave. NULL says that there is no
 * such figure, as in every run made before.
 */
export const uncertaintyAndCurrent: Migration = {
  version: 2,
  sql: `
ALTER TABLE readings ADD COLUMN voltage_uncertainty_V REAL;
ALTER TABLE readings ADD COLUMN thdn_uncertainty_percent REAL;
ALTER TABLE readings ADD COLUMN current_A REAL;
ALTER TABLE readings ADD COLUMN load_seen_ohm REAL;

DROP VIEW reading_sheet;
CREATE VIEW reading_sheet AS
  -- One row per reading: what was set, what came back. Open this one in another program.
  SELECT runs.id AS run, runs.started, runs.outcome, units.label AS unit, benches.name AS bench,
    sequences.name AS sequence, points.number AS point, points.step, points.stepKind AS step_kind,
    points.nominal_Hz, readings.frequency_Hz, points.driven, readings.channel, points.load_ohm,
    readings.load_measured_ohm, readings.load_seen_ohm, points.level_dB, points.asked_W, readings.power_W,
    readings.uncertainty_W, readings.voltage_V, readings.voltage_uncertainty_V, readings.current_A,
    readings.thd_percent, readings.thdn_percent, readings.thdn_uncertainty_percent, readings.sinad_dB,
    readings.noise_V, readings.dc_V, readings.gain_dB, readings.band_low_Hz, readings.band_high_Hz, points.at_s,
    readings.flags
  FROM readings
  JOIN points ON points.run = readings.run AND points.number = readings.point
  JOIN runs ON runs.id = readings.run
  JOIN units ON units.id = runs.unit
  JOIN benches ON benches.id = runs.bench
  JOIN sequences ON sequences.id = runs.sequence;
`,
};

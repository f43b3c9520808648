import type { Migration } from './migration.js';

/**
 * The first schema. Columns named after a field of `src/record/run-record.ts` mean what that field
 * means, in the unit of its suffix. Lists (`driven`, `flags`, `gaps`, `channels`) are JSON text. In
 * `readings`, NULL says that there is no such figure. Blobs are little-endian 64-bit floats.
 */
export const first: Migration = {
  version: 1,
  sql: `
CREATE TABLE units (
  id INTEGER PRIMARY KEY,
  label TEXT NOT NULL UNIQUE
) STRICT;

-- The next three hold each text once, however many runs used it.
CREATE TABLE benches (
  id INTEGER PRIMARY KEY,
  name TEXT NOT NULL,
  kind TEXT NOT NULL,
  rate_Hz REAL NOT NULL,
  text TEXT NOT NULL,
  sha256 TEXT NOT NULL
) STRICT;
CREATE INDEX benches_by_content ON benches (sha256);

CREATE TABLE sequences (
  id INTEGER PRIMARY KEY,
  name TEXT NOT NULL,
  text TEXT NOT NULL,
  sha256 TEXT NOT NULL
) STRICT;
CREATE INDEX sequences_by_content ON sequences (sha256);

CREATE TABLE calibration_records (
  id INTEGER PRIMARY KEY,
  name TEXT NOT NULL,
  kind TEXT NOT NULL,
  text TEXT NOT NULL,
  sha256 TEXT NOT NULL
) STRICT;
CREATE INDEX calibration_records_by_content ON calibration_records (sha256);

-- AUTOINCREMENT: a run's number is never given to another run.
CREATE TABLE runs (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  unit INTEGER NOT NULL REFERENCES units,
  bench INTEGER NOT NULL REFERENCES benches,
  sequence INTEGER NOT NULL REFERENCES sequences,
  version TEXT NOT NULL,
  started TEXT NOT NULL,
  ended TEXT,
  outcome TEXT NOT NULL DEFAULT 'running'
    CHECK (outcome IN ('running', 'completed', 'stopped', 'tripped', 'fault', 'interrupted')),
  reason TEXT NOT NULL DEFAULT '',
  CHECK ((outcome = 'running') = (ended IS NULL))
) STRICT;
CREATE INDEX runs_by_unit ON runs (unit);

CREATE TABLE run_calibration (
  run INTEGER NOT NULL REFERENCES runs,
  position INTEGER NOT NULL,
  record INTEGER NOT NULL REFERENCES calibration_records,
  PRIMARY KEY (run, position)
) STRICT, WITHOUT ROWID;

CREATE TABLE checklist_answers (
  run INTEGER NOT NULL REFERENCES runs,
  position INTEGER NOT NULL,
  item TEXT NOT NULL,
  answer TEXT NOT NULL,
  "by" TEXT NOT NULL,
  "at" TEXT NOT NULL,
  PRIMARY KEY (run, position)
) STRICT, WITHOUT ROWID;

CREATE TABLE points (
  run INTEGER NOT NULL REFERENCES runs,
  number INTEGER NOT NULL,
  step TEXT NOT NULL,
  stepKind TEXT NOT NULL,
  nominal_Hz REAL NOT NULL,
  frequency_Hz REAL NOT NULL,
  driven TEXT NOT NULL CHECK (json_valid(driven)),
  load_ohm REAL NOT NULL,
  level_dB REAL NOT NULL,
  asked_W REAL,
  at_s REAL NOT NULL,
  PRIMARY KEY (run, number)
) STRICT, WITHOUT ROWID;

CREATE TABLE readings (
  id INTEGER PRIMARY KEY,
  run INTEGER NOT NULL,
  point INTEGER NOT NULL,
  channel INTEGER NOT NULL,
  frequency_Hz REAL,
  load_measured_ohm REAL,
  power_W REAL,
  uncertainty_W REAL,
  voltage_V REAL,
  fundamental_V REAL,
  noise_V REAL,
  dc_V REAL,
  peak_V REAL,
  crest_factor REAL,
  thd_percent REAL,
  thdr_percent REAL,
  thdn_percent REAL,
  sinad_dB REAL,
  gain_dB REAL,
  harmonics_in_band INTEGER NOT NULL,
  band_low_Hz REAL,
  band_high_Hz REAL,
  method TEXT NOT NULL,
  flags TEXT NOT NULL CHECK (json_valid(flags)),
  gaps TEXT NOT NULL CHECK (json_valid(gaps)),
  FOREIGN KEY (run, point) REFERENCES points (run, number),
  UNIQUE (run, point, channel)
) STRICT;

CREATE TABLE harmonics (
  reading INTEGER NOT NULL REFERENCES readings,
  "order" INTEGER NOT NULL,
  frequency_Hz REAL,
  rms REAL,
  PRIMARY KEY (reading, "order")
) STRICT, WITHOUT ROWID;

CREATE TABLE spectra (
  reading INTEGER PRIMARY KEY REFERENCES readings,
  frequency_Hz BLOB NOT NULL,
  level_dB BLOB NOT NULL
) STRICT;

-- The file lies in the folder <database>.captures, all channels of one point in one WAV.
CREATE TABLE captures (
  run INTEGER NOT NULL,
  point INTEGER NOT NULL,
  file TEXT NOT NULL UNIQUE,
  sha256 TEXT NOT NULL,
  rate_Hz REAL NOT NULL,
  frames INTEGER NOT NULL,
  channels TEXT NOT NULL CHECK (json_valid(channels)),
  PRIMARY KEY (run, point),
  FOREIGN KEY (run, point) REFERENCES points (run, number)
) STRICT;

-- detail holds the fields that only this kind of result has, as a JSON object.
CREATE TABLE results (
  id INTEGER PRIMARY KEY,
  run INTEGER NOT NULL REFERENCES runs,
  kind TEXT NOT NULL,
  step TEXT NOT NULL,
  channel INTEGER NOT NULL,
  driven TEXT NOT NULL CHECK (json_valid(driven)),
  load_ohm REAL NOT NULL,
  detail TEXT NOT NULL CHECK (json_valid(detail))
) STRICT;
CREATE INDEX results_by_run ON results (run);

CREATE TABLE events (
  id INTEGER PRIMARY KEY,
  run INTEGER NOT NULL REFERENCES runs,
  at_s REAL NOT NULL,
  kind TEXT NOT NULL,
  text TEXT NOT NULL
) STRICT;
CREATE INDEX events_by_run ON events (run);

CREATE VIEW reading_sheet AS
  -- One row per reading: what was set, what came back. Open this one in another program.
  SELECT runs.id AS run, runs.started, runs.outcome, units.label AS unit, benches.name AS bench,
    sequences.name AS sequence, points.number AS point, points.step, points.stepKind AS step_kind,
    points.nominal_Hz, readings.frequency_Hz, points.driven, readings.channel, points.load_ohm,
    readings.load_measured_ohm, points.level_dB, points.asked_W, readings.power_W, readings.uncertainty_W,
    readings.voltage_V, readings.thd_percent, readings.thdn_percent, readings.sinad_dB, readings.noise_V,
    readings.dc_V, readings.gain_dB, readings.band_low_Hz, readings.band_high_Hz, points.at_s, readings.flags
  FROM readings
  JOIN points ON points.run = readings.run AND points.number = readings.point
  JOIN runs ON runs.id = readings.run
  JOIN units ON units.id = runs.unit
  JOIN benches ON benches.id = runs.bench
  JOIN sequences ON sequences.id = runs.sequence;

CREATE VIEW rated_power AS
  -- One row per power found at a THD+N threshold; power_W is NULL where the threshold was not crossed.
  SELECT runs.id AS run, runs.started, runs.outcome, units.label AS unit, benches.name AS bench, results.step,
    results.channel, results.driven, results.load_ohm, detail ->> 'frequency_Hz' AS frequency_Hz,
    detail ->> 'threshold_percent' AS threshold_percent, detail ->> 'power_W' AS power_W,
    detail ->> 'uncertainty_W' AS uncertainty_W, detail ->> 'bracket_dB' AS bracket_dB,
    detail ->> 'note' AS note
  FROM results
  JOIN runs ON runs.id = results.run
  JOIN units ON units.id = runs.unit
  JOIN benches ON benches.id = runs.bench
  WHERE results.kind = 'power-at-thdn';
`,
};

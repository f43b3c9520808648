import type { Migration } from './migration.js';

/**
 * What runs that nobody watches need: the permit and the claim they stand under, the sessions they were walked in, what
 * probes said meanwhile. Points tell which cell of a repetition they belong to.
 */
export const unattended: Migration = {
  version: 3,
  sql: `
CREATE TABLE permits (
  id TEXT PRIMARY KEY,
  sequence TEXT NOT NULL,
  sequence_sha256 TEXT NOT NULL,
  bench TEXT NOT NULL,
  bench_fingerprint TEXT NOT NULL,
  claim TEXT,
  "by" TEXT NOT NULL,
  signed TEXT NOT NULL,
  expires TEXT NOT NULL,
  worst TEXT NOT NULL CHECK (json_valid(worst)),
  checklist TEXT NOT NULL CHECK (json_valid(checklist))
) STRICT, WITHOUT ROWID;

ALTER TABLE runs ADD COLUMN claim TEXT;
-- A permit serves one run.
ALTER TABLE runs ADD COLUMN permit TEXT REFERENCES permits;
CREATE UNIQUE INDEX runs_by_permit ON runs (permit);

ALTER TABLE points ADD COLUMN mains_V REAL;
ALTER TABLE points ADD COLUMN cell TEXT NOT NULL DEFAULT '';

-- One row each time a run was taken up again; the first session is the run's own start.
CREATE TABLE sessions (
  run INTEGER NOT NULL REFERENCES runs,
  number INTEGER NOT NULL,
  started TEXT NOT NULL,
  at_s REAL NOT NULL,
  first_point INTEGER NOT NULL,
  before TEXT NOT NULL,
  PRIMARY KEY (run, number)
) STRICT, WITHOUT ROWID;

CREATE TABLE probe_samples (
  id INTEGER PRIMARY KEY,
  run INTEGER NOT NULL REFERENCES runs,
  at_s REAL NOT NULL,
  probe TEXT NOT NULL,
  unit TEXT NOT NULL,
  value REAL
) STRICT;
CREATE INDEX probe_samples_by_run ON probe_samples (run, probe);
`,
};

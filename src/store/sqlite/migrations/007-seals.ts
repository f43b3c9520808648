import type { Migration } from './migration.js';

/** Sums over what was recorded of each run, by which a changed figure is noticed. */
export const seals: Migration = {
  version: 7,
  sql: `
-- One row a run. The columns from head to origin hold the sums of bundle/seal.ts, each a number of items and a SHA-256; NULL in a run
-- that was recorded before there were any.
CREATE TABLE seals (
  run INTEGER PRIMARY KEY REFERENCES runs,
  -- The form of the sums; 0: the run was recorded without any, and has no identity.
  form INTEGER NOT NULL,
  -- Once the run has ended: SHA-256 over the sums of what was recorded, from head to samples.
  identity TEXT,
  head TEXT,
  conditions TEXT,
  points TEXT,
  harmonics TEXT,
  spectra TEXT,
  settlings TEXT,
  events TEXT,
  samples TEXT,
  unit TEXT,
  findings TEXT,
  captures TEXT,
  origin TEXT
) STRICT;
`,
  rows: {
    tables: ['seals'],
    // So that a run without a row is one that has lost it.
    change: (db) => void db.prepare('INSERT INTO seals (run, form) SELECT id, 0 FROM runs').run(),
    reads: {},
    drops: [],
  },
};

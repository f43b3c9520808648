import type { Migration } from './migration.js';

/** Runs that were made into another database and brought into this one. */
export const imported: Migration = {
  version: 5,
  sql: `
CREATE TABLE imports (
  run INTEGER PRIMARY KEY REFERENCES runs,
  -- Its number in the database that it was made into.
  original_run INTEGER NOT NULL,
  -- SHA-256 of all that was recorded of it: the same run is brought here once.
  identity TEXT NOT NULL UNIQUE,
  imported TEXT NOT NULL
) STRICT;
`,
};

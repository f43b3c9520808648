import type { Migration } from './migration.js';

/**
 * What taking a run up again needs: the permit that a session stands under, and how the record behind each reading had
 * settled, on which the uncertainty of a result made from it rests. NULL in the latter says that nobody knows.
 */
export const resumed: Migration = {
  version: 4,
  sql: `
-- A permit serves one run, or one session in which a run is taken up again.
ALTER TABLE sessions ADD COLUMN permit TEXT REFERENCES permits;
CREATE UNIQUE INDEX sessions_by_permit ON sessions (permit);

-- Shares by which level and residue differed between the halves of the record.
ALTER TABLE readings ADD COLUMN level_moved REAL;
ALTER TABLE readings ADD COLUMN residue_moved REAL;
`,
};

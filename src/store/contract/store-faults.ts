import { declaring } from '../../errors/error-table.js';
import { BenchFault } from '../../errors/ohmest-error.js';

/**
 * A run that is under way can no longer be recorded. What was committed before is safe; what was being
 * written is not there. Whoever is playing must ramp down: nothing is to be played that is not recorded.
 */
export abstract class StoreFault extends BenchFault {}

const storeFault = declaring(StoreFault);

/** The disk is full, or the file has reached a size limit. */
export const StoreFull = storeFault('STORE_FULL', (file: string, cause?: unknown) => ({
  where: file,
  what: 'the disk is full, so the run cannot be recorded any further',
  mend: 'Everything up to the last finished point is kept; free some space before the next run',
  cause,
}));

/** Another program kept the file locked for too long. */
export const StoreHeld = storeFault('STORE_HELD', (file: string, waited_ms: number, cause?: unknown) => ({
  where: file,
  what: `another program locked the database during the run and did not let go within ${waited_ms / 1000} s`,
  mend: 'Everything up to the last finished point is kept; close the other program before the next run',
  cause,
}));

/**
 * What has become of what was recorded: not known before the run has let go; then the path of a copy that can be opened, or null where
 * none could be made.
 */
export type RescuedCopy = string | null | undefined;

/** The database, its -wal or its -shm file was deleted, moved, or replaced by another file: what is written now would be lost. See `rescue`. */
export const StoreGone = storeFault('STORE_GONE', (file: string, copy?: RescuedCopy) => ({
  where: file,
  what: 'the database or a file that belongs to it was moved, deleted or replaced during the run, so nothing more can be recorded',
  mend: `${rescueWords(copy, `Put the database back in its place, together with ${file}-wal, before anything else opens it`)}. Leave the database in its place during a run`,
}));

/** Another program wrote over the database, or cut it: what is written now could not be read back. See `rescue`. */
export const StoreSpoilt = storeFault('STORE_SPOILT', (file: string, copy?: RescuedCopy) => ({
  where: file,
  what: 'the database was damaged or written over during the run, so nothing more can be recorded',
  mend: `${rescueWords(copy, 'Free some space; the next run into this folder tries again from the journal of the run')}. Keep a copy of the damaged file for its other runs, and find out what wrote to it`,
}));

function rescueWords(copy: RescuedCopy, otherwise: string): string {
  if (copy === undefined) return 'When the run has ended, it is said where its record is';
  return copy === null ? `No copy could be made. ${otherwise}` : `What was recorded is in ${copy}`;
}

/** Any other failure to write: a disk error, a file system gone read-only. */
export const StoreWriteFailed = storeFault(
  'STORE_WRITE_FAILED',
  (file: string, detail: string, cause?: unknown) => ({
    where: file,
    what: `the run cannot be recorded any further (${detail})`,
    mend: 'Check the disk; what was committed before this is kept',
    cause,
  }),
);

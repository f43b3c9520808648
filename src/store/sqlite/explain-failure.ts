import { OhmestError } from '../../errors/ohmest-error.js';
import {
  PermitSpent,
  StoreCorrupt,
  StoreLocked,
  StoreNoRoom,
  StoreReadOnly,
  StoreUnreachable,
} from '../contract/store-errors.js';
import { StoreFull, StoreHeld, StoreWriteFailed } from '../contract/store-faults.js';

/** Where a failure happened: enough to word it. */
export interface DatabasePlace {
  readonly file: string;
  /** How long a statement waits for another program's lock. */
  readonly wait_ms: number;
}

const causeOf = (error: unknown): { code: string; message: string } => {
  const { code, message } = error as { code?: unknown; message?: unknown };
  return { code: typeof code === 'string' ? code : '', message: String(message) };
};

/**
 * Words what SQLite or the file system threw while nothing is being played. Returns the InputError to
 * throw; errors of our own and errors that are not about the file come back unchanged.
 */
export function inputErrorFrom(error: unknown, { file, wait_ms }: DatabasePlace): unknown {
  if (error instanceof OhmestError) return error;
  // Text in the file that no longer parses: SQLite has no sums over the content of a page.
  if (error instanceof SyntaxError) return new StoreCorrupt(file, 'a stored list does not parse', error);
  const { code, message } = causeOf(error);
  if (/^SQLITE_(BUSY|LOCKED)/.test(code)) return new StoreLocked(file, wait_ms, error);
  if (/^SQLITE_CONSTRAINT/.test(code) && /\.permit\b/.test(message)) return new PermitSpent(file, error);
  // Every query of ours fits the schema that the version number promises: an error is one of the schema.
  if (/^SQLITE_(ERROR|CORRUPT|NOTADB)/.test(code)) return new StoreCorrupt(file, message, error);
  if (/^SQLITE_READONLY_DIRECTORY/.test(code)) return new StoreReadOnly(file, 'its folder', error);
  if (/^SQLITE_READONLY/.test(code)) return new StoreReadOnly(file, 'the database', error);
  if (/^(SQLITE_FULL|ENOSPC|EDQUOT)/.test(code)) return new StoreNoRoom(file, message, error);
  if (/^(SQLITE_(CANTOPEN|IOERR|PERM|AUTH|NOLFS|TOOBIG|PROTOCOL)|E[A-Z]+$|ERR_INVALID_ARG_VALUE)/.test(code))
    return new StoreUnreachable(file, message, error);
  return error;
}

/** Words what was thrown while a run was being recorded. Returns the StoreFault to throw. */
export function faultFrom(error: unknown, { file, wait_ms }: DatabasePlace): unknown {
  if (error instanceof OhmestError) return error;
  const { code, message } = causeOf(error);
  if (/^(SQLITE_FULL|ENOSPC|EDQUOT)/.test(code)) return new StoreFull(file, error);
  if (/^SQLITE_(BUSY|LOCKED)/.test(code)) return new StoreHeld(file, wait_ms, error);
  // A broken constraint is a mistake in the program, not in the disk: leave it as it is.
  if (/^SQLITE_(CONSTRAINT|ERROR|MISMATCH|RANGE)/.test(code) || code === '') return error;
  return new StoreWriteFailed(file, message, error);
}

/** Runs `work` and throws what it throws in words (see `inputErrorFrom`). */
export function explained<T>(place: DatabasePlace, work: () => T): T {
  try {
    return work();
  } catch (error) {
    throw inputErrorFrom(error, place);
  }
}

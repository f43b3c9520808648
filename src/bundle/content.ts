import type { Permit, RunRecord } from '../record/run-record.js';
import type { PackedCapture, PackedSettling } from './run-schema.js';

/** A run with all that a database knows of it: what goes into a bundle and what comes out. */
export interface RunContent {
  /** Its readings name no captures when it comes out of a bundle: where those go is the database's business. */
  readonly record: RunRecord;
  readonly settlings: readonly PackedSettling[];
  /** The permits of the run and of its sessions. */
  readonly permits: readonly Permit[];
  /** Captures that were kept when the run was made. */
  readonly captures: readonly PackedCapture[];
}

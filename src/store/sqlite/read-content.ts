import type { Database } from 'better-sqlite3';
import type { RunContent } from '../../bundle/content.js';
import type { PackedCapture, PackedSettling } from '../../bundle/run-schema.js';
import { fromJson } from '../../record/exact-json.js';
import type { Permit, RunRecord } from '../../record/run-record.js';
import type { StoredSettling } from '../contract/run-store.js';
import { namedColumns } from './named-columns.js';
import { readPermit } from './permits.js';

/** A capture that was kept, with the name of its file. */
export interface KeptCapture extends PackedCapture {
  readonly file: string;
}

const CAPTURE_COLUMNS = ['point', 'file', 'sha256', 'rate_Hz', 'frames', 'channels'];

/** Captures of a run, in the order of their points. */
export function readCaptures(db: Database, run: number): KeptCapture[] {
  type Stored = Omit<KeptCapture, 'channels'> & { readonly channels: string };
  return db
    .prepare<[number], Stored>(
      `SELECT ${namedColumns(CAPTURE_COLUMNS)} FROM captures WHERE run = ? ORDER BY point`,
    )
    .all(run)
    .map((row) => ({ ...row, channels: fromJson(row.channels) as number[] }));
}

const SETTLINGS = `
  SELECT ${namedColumns(['point', 'channel'])}, level_moved AS level, residue_moved AS residue FROM readings
  WHERE run = ? AND level_moved IS NOT NULL AND residue_moved IS NOT NULL ORDER BY point, id`;

/** How the records behind all readings of a run had settled, those of which it is known. */
export const readAllSettlings = (db: Database, run: number): PackedSettling[] =>
  db.prepare<[number], PackedSettling>(SETTLINGS).all(run);

/** The permits that a run and its sessions stand under. */
export function permitsOf(
  db: Database,
  { permit, sessions }: Pick<RunRecord, 'permit' | 'sessions'>,
): Permit[] {
  const later = sessions.flatMap((session) => session.permit ?? []);
  return [...(permit ? [permit] : []), ...later.flatMap((id) => readPermit(db, id) ?? [])];
}

/** How the records behind the readings of a step had settled, those of which it is known. */
export function settlingsOf(
  { record, settlings }: Pick<RunContent, 'record' | 'settlings'>,
  step: string,
): StoredSettling[] {
  const placeOf = ({ point, channel }: { readonly point: number; readonly channel: number }) =>
    `${point}/${channel}`;
  const own = new Map(
    record.readings.filter((reading) => reading.step === step).map((one) => [placeOf(one), one]),
  );
  return settlings.flatMap(({ point, channel, level, residue }) => {
    const reading = own.get(placeOf({ point, channel }));
    const settled = !reading?.flags.includes('not-settled');
    return reading ? [{ point, channel, settling: { settled, level, residue } }] : [];
  });
}

import type { Database } from 'better-sqlite3';
import type { FlagCode } from '../../measure/flags.js';
import type { Settling } from '../../measure/settled.js';
import { fromJson } from '../../record/exact-json.js';
import type { StoredSettling } from '../contract/run-store.js';

const NOT_SETTLED: FlagCode = 'not-settled';

const SETTLINGS = `
  SELECT point, channel, level_moved AS level, residue_moved AS residue, flags
  FROM readings JOIN points ON points.run = readings.run AND points.number = readings.point
  WHERE readings.run = ? AND points.step = ? AND level_moved IS NOT NULL AND residue_moved IS NOT NULL
  ORDER BY readings.id`;

/** Those of a step's readings of which it is known. */
export function readSettlings(db: Database, run: number, step: string): StoredSettling[] {
  type Stored = Omit<Settling, 'settled'> & { point: number; channel: number; flags: string };
  const rows = db.prepare<[number, string], Stored>(SETTLINGS).all(run, step);
  return rows.map(({ point, channel, level, residue, flags }) => {
    const settled = !(fromJson(flags) as FlagCode[]).includes(NOT_SETTLED);
    return { point, channel, settling: { settled, level, residue } };
  });
}

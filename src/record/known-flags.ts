import { FLAGS, type FlagCode } from '../measure/flags.js';
import type { Reading } from './run-record.js';

const isKnown = (flag: string): flag is FlagCode => Object.hasOwn(FLAGS, flag);

/**
 * The flags of a reading out of a file, which may be those of a later version: what this version does not know stands aside by its
 * name, and the reading is flagged for that.
 */
export function knownFlags(stored: readonly string[]): Pick<Reading, 'flags' | 'unknown_flags'> {
  const flags = stored.filter(isKnown);
  if (flags.length === stored.length) return { flags };
  return { flags: [...flags, 'not-known'], unknown_flags: stored.filter((flag) => !isKnown(flag)) };
}

/** The inverse of `knownFlags`, but for the order: what a reading is stored with. */
export const storedFlags = ({ flags, unknown_flags }: Pick<Reading, 'flags' | 'unknown_flags'>): string[] =>
  unknown_flags ? [...flags.filter((flag) => flag !== 'not-known'), ...unknown_flags] : [...flags];

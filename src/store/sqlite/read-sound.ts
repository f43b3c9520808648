import { createHash } from 'node:crypto';
import type { Database } from 'better-sqlite3';
import type { RunContent } from '../../bundle/content.js';
import { identityOf, type Seal, STRANDS, type Strand, sealOf } from '../../bundle/seal.js';
import type { RunRecord } from '../../record/run-record.js';
import type { ReadParts } from '../contract/run-store.js';
import { RunAltered, StoreCorrupt, StoredTextChanged } from '../contract/store-errors.js';
import { type KeptCapture, permitsOf, readAllSettlings, readCaptures } from './read-content.js';
import { readRun } from './read-run.js';
import { identityIn, isSealed, SealRows } from './seal-row.js';

/** What was changed, in words, by the sum that no longer fits. */
const WORDS: Readonly<Record<Strand, string>> = {
  head: 'its bench, its sequence, its times or how it ended',
  conditions: 'its checklist, its calibration records, its sessions or its permits',
  points: 'its points or their readings',
  harmonics: 'its harmonics',
  spectra: 'its spectra',
  settlings: 'how its records had settled',
  events: 'its events',
  samples: 'the values of its sensors',
  unit: 'the label of its unit',
  findings: 'its findings',
  captures: 'its list of captures',
  origin: 'where it was imported from',
};

/** Makes sure that what was read of a run is what its sums stand for. @throws RunAltered */
export function requireSums(file: string, run: number, kept: Partial<Seal>, found: Partial<Seal>): void {
  const changed = (Object.keys(found) as Strand[]).find((strand) => found[strand] !== kept[strand]);
  if (changed) throw new RunAltered(file, run, WORDS[changed]);
}

/** A database, and where it is for messages. */
export interface DatabaseSource {
  readonly db: Database;
  readonly file: string;
}

/** A run with the names of the files that its captures are in. */
export interface KeptContent extends RunContent {
  readonly captures: readonly KeptCapture[];
}

/**
 * A run, proven to be what was recorded as far as it is read: all of it as of one moment. Undefined when there is none.
 *
 * @throws RunAltered, StoredTextChanged, StoreCorrupt
 */
export function readSound(
  { db, file }: DatabaseSource,
  run: number,
  parts: ReadParts = {},
): KeptContent | undefined {
  const wanted = STRANDS.filter((strand) => (parts as Partial<Record<Strand, boolean>>)[strand] !== false);
  const read = (): KeptContent | undefined => {
    const record = readRun(db, run, parts);
    if (!record) return undefined;
    requireUnchanged(file, record);
    const seal = new SealRows(db).read(run);
    if (!seal) throw new RunAltered(file, run, 'the row of its sums');
    const permits = permitsOf(db, record);
    const settlings = parts.settlings === false ? [] : readAllSettlings(db, run);
    const captures = readCaptures(db, run);
    const content = { record: { ...record, identity: identityIn(seal) }, permits, settlings, captures };
    if (isSealed(seal)) {
      const sums = sealOf(content, new Map(captures.map((one) => [one.point, one])), new Set(wanted));
      requireSums(file, run, seal, Object.fromEntries(wanted.map((strand) => [strand, sums[strand]])));
      if (seal.identity !== null && seal.identity !== identityOf(seal))
        throw new RunAltered(file, run, 'its identity');
    }
    return content;
  };
  return asDamage(file, () => db.transaction(read)());
}

/** A value that is not even of the kind that its column holds was changed, whatever it makes of the code that meets it. */
export function asDamage<T>(file: string, read: () => T): T {
  try {
    return read();
  } catch (error) {
    if (!(error instanceof TypeError || error instanceof RangeError)) throw error;
    throw new StoreCorrupt(file, 'a stored value is not of its kind', error);
  }
}

/**
 * Makes sure that the texts a run rests on are those that it was made with: bench file, sequence, calibration records.
 *
 * @throws StoredTextChanged for the first whose SHA-256 (of its UTF-8) is not the one stored with it
 */
function requireUnchanged(file: string, { run, bench, sequence, calibration }: RunRecord): void {
  const texts = [
    { ...bench, name: `bench file '${bench.name}'` },
    { ...sequence, name: `sequence '${sequence.name}'` },
    ...calibration.map((record) => ({ ...record, name: `calibration record '${record.id}'` })),
  ];
  const changed = texts.find(
    ({ text, sha256 }) => createHash('sha256').update(text).digest('hex') !== sha256,
  );
  if (changed) throw new StoredTextChanged(file, run, changed.name);
}

import { createHash } from 'node:crypto';
import type { RunRecord } from '../../record/run-record.js';
import { StoredTextChanged } from '../contract/store-errors.js';

/**
 * Makes sure that the texts a run rests on are those that it was made with: bench file, sequence, calibration records.
 *
 * @throws StoredTextChanged for the first whose SHA-256 (of its UTF-8) is not the one stored with it
 */
export function requireUnchanged(file: string, { run, bench, sequence, calibration }: RunRecord): void {
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

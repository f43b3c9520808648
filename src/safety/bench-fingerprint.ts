import { createHash } from 'node:crypto';
import type { BenchSetup } from '../bench/bench-setup.js';
import { programFolder, programsOf } from '../bench/program-consent.js';
import { programFiles } from '../bench/program-files.js';
import { usedRecords } from '../calibration/used-records.js';

/**
 * What a permit binds of a bench: SHA-256, in hexadecimal, over the bench file's text and the SHA-256 of every
 * calibration record that stands behind its figures, whatever their order; of a simulated bench also over that of its twin, and
 * over that of every file that the command lines of its programs name. What a program loads by itself is not in it.
 */
export function benchFingerprint(
  setup: Pick<BenchSetup, 'text' | 'channels' | 'floorRecord'> &
    Partial<Pick<BenchSetup, 'interface' | 'sensors' | 'path'>>,
): string {
  const records = usedRecords(setup).map(({ id, kind, sha256 }) => `${kind} ${id} ${sha256}`);
  const hash = createHash('sha256').update(setup.text);
  // A NUL ends the text: YAML has no NUL, so no file can imitate what follows.
  for (const record of [...new Set(records)].sort()) hash.update(`\n\0${record}`);
  const twin = setup.interface?.kind === 'simulated' ? setup.interface.twinSha256 : undefined;
  if (twin !== undefined) hash.update(`\n\0twin ${twin}`);
  const { interface: link, sensors, path = '' } = setup;
  const bench = { path, ...(link ? { interface: link } : {}), ...(sensors ? { sensors } : {}) };
  for (const { user, argv } of programsOf(bench))
    for (const { sha256 } of programFiles(argv, programFolder(bench)))
      hash.update(`\n\0program of ${user} ${sha256 ?? 'not found'}`);
  return hash.digest('hex');
}

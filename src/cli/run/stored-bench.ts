import { basename, join } from 'node:path';
import { readBench } from '../../bench/bench-file.js';
import type { BenchSetup } from '../../bench/bench-setup.js';
import type { Files } from '../../bench/files.js';
import { recordFolders } from '../../bench/record-search.js';
import type { RunRecord } from '../../record/run-record.js';

/**
 * The bench of a run with the calibration that it had, from the texts stored with the run: no file of today is looked at.
 * Nothing can be played on it.
 *
 * @throws DocumentError when the texts are not what this version of the program takes
 */
export function storedBench({ run, bench, calibration }: RunRecord): BenchSetup {
  const path = join(`run ${run}`, 'bench.yaml');
  const texts = new Map(calibration.map(({ id, text }) => [`${id}.yaml`, text]));
  const files: Files = {
    // The twin of a simulated bench is not stored, and not needed to read what was captured.
    exists: () => true,
    read: (file) => texts.get(basename(file)) ?? '',
    list: (folder) => (folder === recordFolders(path)[0] ? [...texts.keys()] : []),
  };
  return readBench(bench.text, path, files, undefined, false);
}

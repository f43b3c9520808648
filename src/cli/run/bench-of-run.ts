import { basename, join } from 'node:path';
import type { BenchSetup } from '../../bench/bench-setup.js';
import { onDisk } from '../../bench/files.js';
import { storedKind } from '../../bench/kinds.js';
import { PACKAGE_ROOT } from '../../bench/package-root.js';
import { usedRecords } from '../../calibration/used-records.js';
import { asTold, inputError } from '../../errors/error-table.js';
import { namesIn } from '../../files/names-in.js';
import type { RunRecord } from '../../record/run-record.js';

/** No bench file of the content that a run was made on was found. */
export const BenchNotFound = inputError('BENCH_NOT_FOUND', asTold);

/** The bench is not as it was when the run was begun. */
export const BenchChanged = inputError('BENCH_CHANGED', asTold);

/** The run was made on a kind of bench that came with a later version of the program. */
export const BenchKindUnknown = inputError('BENCH_KIND_UNKNOWN', (run: number, kind: string) => ({
  what: `run ${run} was made on a bench of the kind '${kind}', which this version of ohmest does not know`,
  mend: 'It can be shown, and not be resumed: use the version that made it, or start a new run',
}));

/** @throws BenchKindUnknown */
export function requireKnownKind({ run, bench }: Pick<RunRecord, 'run' | 'bench'>): void {
  if (storedKind(bench.kind) === null) throw new BenchKindUnknown(run, bench.kind);
}

/**
 * Path of the bench file that a run was made on, by its content: in the working folder, in its folder `benches`, or among
 * those that ship.
 *
 * @throws BenchNotFound
 */
export function benchFileOf({ run, bench }: Pick<RunRecord, 'run' | 'bench'>): string {
  const folders = ['.', 'benches', join(PACKAGE_ROOT, 'benches')];
  const found = folders.flatMap(yamlFilesIn).find((path) => contentOf(path) === bench.text);
  if (found !== undefined) return found;
  throw new BenchNotFound({
    what: `the bench file of run ${run}, '${bench.name}', was not found in this folder, in 'benches' or among the shipped benches`,
    mend: 'Name it with --bench; it must be unchanged since the run began',
  });
}

const yamlFilesIn = (folder: string): string[] =>
  namesIn(folder)
    .filter((name) => /\.ya?ml$/.test(name))
    .sort()
    .map((name) => join(folder, name));

function contentOf(path: string): string | null {
  try {
    return onDisk.read(path).toString();
  } catch {
    return null;
  }
}

/**
 * Refuses a bench that is not what the run was begun on: readings of two chains must not become one curve.
 *
 * @throws BenchChanged naming everything that differs
 */
export function requireSameBench(
  record: Pick<RunRecord, 'run' | 'bench' | 'calibration' | 'events'>,
  setup: BenchSetup,
): void {
  const differences = [
    ...fileDifference(record, setup),
    ...twinDifference(record, setup),
    ...recordDifferences(record, setup),
  ];
  if (differences.length === 0) return;
  throw new BenchChanged({
    what: `the bench has changed since run ${record.run} began: ${differences.join('; ')}`,
    where: setup.path,
    mend: 'Put it back as it was, or start a new run',
  });
}

function fileDifference({ bench }: Pick<RunRecord, 'bench'>, setup: BenchSetup): string[] {
  if (setup.sha256 === bench.sha256) return [];
  const then = `'${bench.name}', SHA-256 ${short(bench.sha256)}, then`;
  return [
    `the bench file is another (${then}; '${setup.name}', ${short(setup.sha256)}, in ${basename(setup.path)} now)`,
  ];
}

function twinDifference({ events }: Pick<RunRecord, 'events'>, setup: BenchSetup): string[] {
  const then = events.find((event) => event.kind === 'twin')?.sha256 ?? null;
  const now = setup.interface.kind === 'simulated' ? setup.interface.twinSha256 : undefined;
  if (then === null || now === undefined || then === now) return [];
  return [`the twin file has changed (SHA-256 ${short(then)} then, ${short(now)} now)`];
}

function recordDifferences({ calibration }: Pick<RunRecord, 'calibration'>, setup: BenchSetup): string[] {
  const keyOf = ({ id, kind }: { readonly id: string; readonly kind: string }) => `${kind} record ${id}`;
  const then = new Map(calibration.map((one) => [keyOf(one), one.sha256]));
  const now = new Map(usedRecords(setup).map((one) => [keyOf(one), one.sha256]));
  const gone = [...then.keys()]
    .filter((key) => !now.has(key))
    .map((key) => `the ${key} is not used any more`);
  const added = [...now.keys()].filter((key) => !then.has(key)).map((key) => `the ${key} was not used then`);
  const changed = [...then]
    .filter(([key, sha256]) => now.has(key) && now.get(key) !== sha256)
    .map(
      ([key, sha256]) =>
        `the ${key} has changed (SHA-256 ${short(sha256)} then, ${short(now.get(key)!)} now)`,
    );
  return [...gone, ...added, ...changed];
}

const short = (sha256: string): string => sha256.slice(0, 12);

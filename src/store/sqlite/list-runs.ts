import { headSum, itemsIn, originSum, unitSum } from '../../bundle/seal.js';
import { InputError } from '../../errors/ohmest-error.js';
import type { RunSummary } from '../../record/run-list.js';
import type { RunFilter } from '../contract/run-store.js';
import { RunAltered } from '../contract/store-errors.js';
import { namedColumns } from './named-columns.js';
import { asDamage, type DatabaseSource, requireSums } from './read-sound.js';

export const SUMMARY_TABLES = `
  FROM runs
  JOIN units ON units.id = runs.unit
  JOIN benches ON benches.id = runs.bench
  JOIN sequences ON sequences.id = runs.sequence
  LEFT JOIN imports ON imports.run = runs.id`;

// Points are numbered from 1 without holes, so the greatest number counts them without reading them.
const SUMMARIES = `
  SELECT runs.id AS run, ${namedColumns(['outcome', 'reason', 'started', 'ended', 'version'])}, units.label AS unit,
    benches.name AS bench,
    benches.kind AS bench_kind, sequences.name AS sequence, sequences.sha256 AS sequence_sha256,
    coalesce((SELECT max(number) FROM points WHERE points.run = runs.id), 0) AS points,
    imports.original_run AS imported_from,
    ${namedColumns(['benches.rate_Hz', 'claim', 'permit', 'imported'])}, benches.sha256 AS bench_sha256,
    imports.identity AS imported_as,
    seals.run AS sealed, seals.head AS head_sum, seals.unit AS unit_sum, seals.origin AS origin_sum, seals.points AS points_sum
  ${SUMMARY_TABLES}
  LEFT JOIN seals ON seals.run = runs.id
  WHERE @run IS NULL OR runs.id = @run
  ORDER BY runs.id DESC`;

/** What the sums of a summary stand for besides it, and the sums. */
interface Proof {
  readonly rate_Hz: number;
  readonly bench_sha256: string;
  readonly claim: string | null;
  readonly permit: string | null;
  readonly imported_as: string;
  readonly imported: string;
  readonly sealed: number | null;
  readonly head_sum: string | null;
  readonly unit_sum: string;
  readonly origin_sum: string;
  readonly points_sum: string;
}

// Also one that a query over several tables leaves out because it has lost a row that it refers to.
const LOST = `SELECT run FROM seals WHERE run NOT IN (SELECT runs.id ${SUMMARY_TABLES})`;

/**
 * Runs as their rows say, newest first, each proven to be what its sums stand for. All are looked at, whichever are wanted: what was
 * changed in a run may have been what it is wanted for.
 *
 * @throws RunAltered, StoreCorrupt
 */
export function listRuns(
  { db, file }: DatabaseSource,
  { run, unit, limit, altered }: RunFilter,
): RunSummary[] {
  const soundOnly = <T>(id: number, prove: () => T): T[] => {
    try {
      return [asDamage(file, prove)];
    } catch (error) {
      if (!altered || !(error instanceof InputError)) throw error;
      altered(id, resumedAt_ms(db, id));
      return [];
    }
  };
  const rows = db.prepare<[object], RunSummary & Proof>(SUMMARIES).all({ run: run ?? null });
  for (const lost of run === undefined ? db.prepare<[], number>(LOST).pluck().all() : [])
    soundOnly(lost, () => {
      throw new RunAltered(file, lost, 'its own row, which is missing or refers to one that is');
    });
  const runs = rows.flatMap((row) => soundOnly(row.run, () => proven(file, row)));
  return runs.filter((one) => unit === undefined || one.unit === unit).slice(0, limit);
}

function resumedAt_ms(db: DatabaseSource['db'], run: number): number {
  try {
    const started = db
      .prepare<[number], unknown>('SELECT started FROM sessions WHERE run = ?')
      .pluck()
      .all(run);
    const latest_ms = Math.max(0, ...started.map((text) => Date.parse(String(text))));
    return Number.isNaN(latest_ms) ? Number.POSITIVE_INFINITY : latest_ms;
  } catch {
    // These rows may be damaged, too.
    return Number.POSITIVE_INFINITY;
  }
}

function proven(file: string, row: RunSummary & Proof): RunSummary {
  const { rate_Hz, bench_sha256, claim, permit, imported_as, imported, ...rest } = row;
  const { sealed, head_sum, unit_sum, origin_sum, points_sum, ...summary } = rest;
  const { run, bench, bench_kind, sequence, sequence_sha256, imported_from, points } = summary;
  if (sealed === null) throw new RunAltered(file, run, 'the row of its sums');
  if (head_sum === null) return summary;
  const origin = imported_from === null ? undefined : { run: imported_from, identity: imported_as, imported };
  requireSums(
    file,
    run,
    { head: head_sum, unit: unit_sum, origin: origin_sum },
    {
      head: headSum({
        ...summary,
        ...{ claim, permit },
        bench: { name: bench, kind: bench_kind, rate_Hz, sha256: bench_sha256 },
        sequence: { name: sequence, sha256: sequence_sha256 },
      }),
      unit: unitSum({ label: summary.unit }),
      origin: originSum(origin),
    },
  );
  if (itemsIn(points_sum) !== points) throw new RunAltered(file, run, 'its points');
  return summary;
}

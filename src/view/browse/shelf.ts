import type { FoundPower } from '../../record/found-power.js';
import type { Outcome } from '../../record/outcome.js';
import type { Reading, RunRecord } from '../../record/run-record.js';

/** One run in the list. */
export interface ShelfRun {
  readonly run: number;
  readonly outcome: Outcome | 'running';
  readonly reason: string;
  /** ISO 8601 in UTC. */
  readonly started: string;
  readonly unit: string;
  readonly bench: string;
  readonly bench_kind: string;
  readonly sequence: string;
  readonly points: number;
  /** Its number in the database that it was made into; null for one that was made into this one. */
  readonly imported_from: number | null;
}

/** What is looked for; whatever is left out does not matter. */
export interface ShelfSearch {
  readonly unit?: string;
  readonly sequence?: string;
  readonly bench?: string;
  readonly outcome?: Outcome | 'running';
  /** First and last day of the start, as in `2026-03-01`, in UTC. */
  readonly from?: string;
  readonly to?: string;
  readonly text?: string;
}

/** Where the pages take runs from: a database, as far as they need to know it. */
export interface Shelf {
  /** What it is called on the pages. */
  readonly name: string;
  /** When another database was last seen in the place of the one that was shown before; null when never. */
  replaced(): Date | null;
  search(
    search: ShelfSearch,
    page: { limit: number; offset: number },
  ): Promise<{ readonly total: number; readonly runs: readonly ShelfRun[] }>;
  names(): Promise<{
    readonly units: readonly string[];
    readonly sequences: readonly string[];
    readonly benches: readonly string[];
  }>;
  powers(runs: readonly number[]): Promise<readonly FoundPower[]>;
  /** All of one run. @throws InputError when there is no such run, or when it was tampered with */
  run(number: number): Promise<RunRecord>;
  /** What the bench of a run reads of itself where a reading was taken: THD+N in percent, null where it is not known. */
  floorOf(record: RunRecord): (reading: Reading) => number | null;
}

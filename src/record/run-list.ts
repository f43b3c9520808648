import type { Outcome } from './outcome.js';

/** One line of a list of runs. */
export interface RunSummary {
  readonly run: number;
  readonly outcome: Outcome | 'running';
  readonly reason: string;
  readonly started: string;
  readonly ended: string | null;
  readonly version: string;
  readonly unit: string;
  readonly bench: string;
  readonly bench_kind: string;
  readonly sequence: string;
  readonly sequence_sha256: string;
  /** Number of the last point played; 0 when there is none. */
  readonly points: number;
  /** Its number in the database that it was made into; null for a run that was made into this one. */
  readonly imported_from: number | null;
}

/** What is looked for; whatever is left out does not matter. */
export interface RunSearch {
  readonly unit?: string;
  readonly sequence?: string;
  readonly bench?: string;
  readonly outcome?: Outcome | 'running';
  /** First and last day of the start, `2026-03-01`, in UTC. */
  readonly from?: string;
  readonly to?: string;
  /** Stands somewhere in the name of unit, sequence or bench, or in why the run ended. */
  readonly text?: string;
}

/** Which of what was found is wanted: at most `limit`, after the first `offset`. */
export interface Page {
  readonly limit: number;
  readonly offset: number;
}

/** A page of the runs that were found, newest first, and how many there are in all. */
export interface FoundRuns {
  readonly total: number;
  readonly runs: readonly RunSummary[];
}

/** Every name that runs can be searched by, sorted. */
export interface RunNames {
  readonly units: readonly string[];
  readonly sequences: readonly string[];
  readonly benches: readonly string[];
}

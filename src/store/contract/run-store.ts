import type { BenchSetup } from '../../bench/bench-setup.js';
import type { RunContent } from '../../bundle/content.js';
import type { PackedCapture } from '../../bundle/run-schema.js';
import type { Settling } from '../../measure/settled.js';
import type { FoundRuns, Page, RunNames, RunSearch, RunSummary } from '../../record/run-list.js';
import type { Permit, RunRecord, Session } from '../../record/run-record.js';
import type { Plan } from '../../sequence/plan.js';
import type { RunWriter } from './run-writer.js';

/** What is known before anything is played. */
export interface RunStart {
  readonly unit: { readonly label: string };
  readonly bench: BenchSetup;
  readonly plan: Plan;
  /** Version of the program that measures. */
  readonly version: string;
  readonly checklist: RunRecord['checklist'];
  /** The maker's claim as it was given, and the permit that the run stands under; absent without. */
  readonly claim?: string | null;
  readonly permit?: string | null;
  /** True when captures will be kept, so that room for them is proven too. */
  readonly keepsCaptures?: boolean;
}

/** What is known when a run is taken up again, before anything is played. */
export interface Resumption extends Pick<Session, 'at_s' | 'first_point'> {
  /** What was answered this time. */
  readonly checklist: RunRecord['checklist'];
  /** The permit that this session stands under; absent or null without one. */
  readonly permit?: string | null;
  /** True when captures will be kept, so that room for them is proven too. */
  readonly keepsCaptures?: boolean;
}

export interface RunFilter {
  readonly run?: number;
  /** Only runs of the unit with exactly this label. */
  readonly unit?: string;
  /** At most so many, the newest. */
  readonly limit?: number;
  /**
   * Is told of each run whose row is not what was recorded, which is then left out; without it such a run is refused. And when it was
   * last resumed, milliseconds since 1970: 0 where it never was, infinite where its rows do not tell.
   */
  readonly altered?: (run: number, resumed_ms: number) => void;
}

/** What may be left out of the readings, being most of a run; all of it is read unless told otherwise. */
export interface ReadParts {
  /** False: readings come with an empty list of harmonics. */
  readonly harmonics?: boolean;
  /** False: readings come without a spectrum. */
  readonly spectra?: boolean;
  /** False: how records had settled is not read. */
  readonly settlings?: boolean;
}

/** How the record behind one reading had settled. */
export interface StoredSettling {
  readonly point: number;
  readonly channel: number;
  readonly settling: Settling;
}

/** A permit with the run that has used it, for all of it or for going on with it. */
export interface FiledPermit {
  readonly permit: Permit;
  readonly run: number | null;
}

/** A run from elsewhere, checked, and the bytes of the captures that come with it. */
export interface Incoming {
  readonly content: RunContent;
  readonly identity: string;
  readonly carried: readonly PackedCapture[];
  capture(point: number): Promise<Uint8Array>;
}

/**
 * Where runs are kept. Several programs may have the same one open and record runs at the same time.
 *
 * Every method rejects with one InputError (store-errors.ts) that says what is the matter; then nothing is changed.
 */
export interface RunStore {
  /** Where it is, for people. */
  readonly place: string;
  /** What people must be told of it as it was opened, one sentence each. */
  readonly notices: readonly string[];
  /** Makes sure that a run can be recorded, and begins it. Call this before anything is played. */
  begin(start: RunStart): Promise<RunWriter>;
  /**
   * Opens a run that has ended before its last step, or whose program died, for a new session. What it has stays; the
   * outcome will be that of this session. Rejects with RunNotFound, RunBusy, RunComplete, RunImported.
   */
  resume(run: number, resumption: Resumption): Promise<RunWriter>;
  /** The runs, newest first. */
  runs(filter?: RunFilter): Promise<readonly RunSummary[]>;
  /** A page of the runs that match, newest first. */
  search(search: RunSearch, page: Page): Promise<FoundRuns>;
  /** Every unit, sequence and bench that has a run. */
  names(): Promise<RunNames>;
  /** All of one run, less what `parts` leaves out. Rejects with RunNotFound, which names the newest runs, and StoredTextChanged. */
  run(run: number, parts?: ReadParts): Promise<RunRecord>;
  /** How the records behind the readings of one step had settled, those of which it is known. */
  settlings(run: number, step: string): Promise<readonly StoredSettling[]>;
  /** The captures that were kept of a run, in the order of their points. */
  captures(run: number): Promise<readonly PackedCapture[]>;
  /** The WAV file kept of a point, proven to be what was written. Rejects with CaptureMissing, CaptureFileChanged. */
  capture(run: number, point: number): Promise<Uint8Array>;
  /** All that a bundle of a run holds. Rejects with RunNotFound, RunAltered, StoredTextChanged, RunBusy for a run that goes on. */
  content(run: number): Promise<RunContent>;
  /** Takes in a run that was made elsewhere; gives its number here. Rejects with RunPresent, PermitTaken. */
  importRun(bundle: Incoming): Promise<number>;
  /** Keeps a permit. */
  sign(permit: Permit): Promise<void>;
  /** Every permit with the run that used it, newest first. */
  permits(): Promise<readonly FiledPermit[]>;
  /** Closes it, and takes it away if it was made for what has then been refused and holds nothing. */
  discard(): Promise<void>;
  /** Closes it. A run that was not finished shows as interrupted from now on. Safe to call twice. */
  close(): Promise<void>;
}

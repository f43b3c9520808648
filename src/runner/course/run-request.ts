import type { Bench } from '../../bench/bench.js';
import type { BenchSetup } from '../../bench/bench-setup.js';
import type { Sensor } from '../../bench/sensor.js';
import type { Settling } from '../../measure/settled.js';
import type { Finding } from '../../record/finding.js';
import type { RunEvent } from '../../record/run-event.js';
import type { Point, Reading, SensorSample } from '../../record/run-record.js';
import type { LoadMemory } from '../../safety/load-memory.js';
import type { Question } from '../../safety/question.js';
import type { Plan } from '../../sequence/plan.js';
import type { EarlierSessions } from './earlier-sessions.js';

/** The raw samples behind the readings of one point, digital full scale = 1.0 peak, by bench channel. */
export interface PointCapture {
  readonly rate_Hz: number;
  readonly channels: readonly { readonly channel: number; readonly samples: Float64Array }[];
}

/** A glance at what is going on, a few times a second of bench time at most. Never stored. */
export interface Progress {
  readonly step: string;
  readonly point: number;
  /** The nominal one: what is played lies within a percent or two of it. */
  readonly frequency_Hz: number;
  /** One entry per measured channel; null until there is a first reading. */
  readonly power_W: readonly (number | null)[];
  readonly thdn_percent: readonly (number | null)[];
  readonly level_dB: number;
  /** Share of the plan that is done, 0 to 1, and the bench seconds left by the estimate. */
  readonly done: number;
  readonly left_s: number;
  /** The last value of each sensor, null where the last sample gave none; absent or empty without sensors. */
  readonly sensors?: readonly {
    readonly name: string;
    readonly unit: string;
    readonly value: number | null;
  }[];
}

/** A setting that has been read. */
export interface MeasuredPoint {
  readonly point: Point;
  readonly readings: readonly Reading[];
  readonly capture: PointCapture;
  /** How the record behind each reading had settled; null: not known. */
  readonly settlings: readonly (Settling | null)[];
}

/**
 * What the runner says while it walks a plan. The runner waits for its listener before it goes on,
 * so a listener that has stored a `point` event has it on disk before the next point begins.
 */
export type CourseEvent =
  | RunEvent
  | { readonly kind: 'progress'; readonly progress: Progress }
  | ({ readonly kind: 'point' } & MeasuredPoint)
  | { readonly kind: 'sensor'; readonly sample: SensorSample }
  | { readonly kind: 'finding'; readonly finding: Finding };

/** How the runner puts something to the operator: whether it was confirmed, or that nobody is there to do so. */
export type Ask = (question: Question) => Promise<boolean | 'nobody'>;

/** How the runner has a reading of a meter typed in; null means that nothing was measured. */
export type AskReading = (question: Question, unit: 'V') => Promise<number | null>;

/** What a run is made of. */
export interface RunRequest {
  readonly plan: Plan;
  readonly bench: Bench;
  readonly setup: BenchSetup;
  /** What is sampled in the background; left out: nothing. */
  readonly sensors?: readonly Sensor[];
  /** Awaited: when it has returned, what it was told is safe with it. */
  readonly listener: (event: CourseEvent) => void | Promise<void>;
  readonly ask: Ask;
  /** Left out: nobody is there to read a meter. */
  readonly askReading?: AskReading | undefined;
  readonly signal: AbortSignal;
  /** What earlier sessions of the run have left; null or absent for a new one. */
  readonly earlier?: EarlierSessions | null;
  /** What other runs have left in the loads; null or absent where nothing real can get warm. */
  readonly memory?: LoadMemory | null;
}

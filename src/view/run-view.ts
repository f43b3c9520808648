import type { Outcome } from '../record/outcome.js';
import type { Point, Reading, RunEventRecord } from '../record/run-record.js';
import type { Progress } from '../runner/course/run-request.js';

/** What is told of a run before its first tone. */
export interface RunAbout {
  readonly run: number;
  readonly unit: string;
  readonly bench: string;
  readonly simulated: boolean;
  readonly sequence: string;
  readonly claim: string | null;
  /** Watts per channel that the claim asks for; null when there is none or it does not tell them. */
  readonly claim_W: number | null;
  /** ISO 8601 in UTC. */
  readonly started: string;
  /** Everything that ends the run at once, one sentence each. */
  readonly armed: readonly string[];
  readonly steps: readonly {
    readonly id: string;
    readonly words: string;
    /** THD+N at which it marks powers, or which it keeps. */
    readonly thresholds_percent: readonly number[];
  }[];
}

/** A step and how far the run has come with it. */
export interface ViewStep {
  readonly id: string;
  readonly words: string;
  readonly stage: 'done' | 'now' | 'ahead';
}

/** One reading of the step that is being played, as much of it as a picture needs. */
export interface Dot {
  readonly channel: number;
  readonly frequency_Hz: number;
  readonly power_W: number;
  readonly thdn_percent: number;
  readonly at_s: number;
  /** It carries a flag by which it may not be what it seems. */
  readonly doubtful?: true;
}

/** What the readings of the step that is being played look like so far. */
export interface ViewCurve {
  readonly step: string;
  readonly stepKind: Point['stepKind'];
  readonly load_ohm: number;
  readonly driven: readonly number[];
  /** THD+N at which powers are searched, in percent. */
  readonly thresholds_percent: readonly number[];
  /** In the order played; of a long step every second, fourth... only. */
  readonly dots: readonly Dot[];
}

/** What one channel gave at the last point. */
export type LatestReading = Pick<Reading, 'channel' | 'power_W' | 'voltage_V' | 'thdn_percent' | 'flags'>;

/** A finding as it is shown while the run goes. */
export interface FoundFigure {
  /** What it is a figure of: those of one name stand together. */
  readonly name: string;
  /** `channel 1, 1 kHz, 8 ohm, channels 1 and 2 driven`. */
  readonly place: string;
  /** The figure, or that there is none. */
  readonly value: string;
  /** Why there is none, and what else belongs to it; empty when there is nothing to add. */
  readonly note: string;
}

/** A run as it stands, in plain data: all that a terminal or a page shows of it while it goes. */
export interface RunView extends Omit<RunAbout, 'steps'> {
  readonly state: 'running' | Outcome;
  /** Why it ended; empty while it runs. */
  readonly reason: string;
  readonly steps: readonly ViewStep[];
  /** Null until something was played. */
  readonly now: Progress | null;
  /** Null until the first point. */
  readonly curve: ViewCurve | null;
  readonly latest: readonly LatestReading[];
  readonly points: number;
  /** What the steps concluded so far, in the order they did. */
  readonly found: readonly FoundFigure[];
  /** The last ones, oldest first. */
  readonly events: readonly RunEventRecord[];
  /** What the operator is being asked; null when nobody is. */
  readonly question: string | null;
}

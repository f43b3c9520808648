import type { Band } from '../measure/analysis.js';
import type { CoherentTone } from '../stimulus/coherent-tone.js';

interface StepBase {
  /** Unique within the plan; given in the file or made from kind and position. */
  readonly id: string;
}

/** Stop and let the operator read, do, and confirm something. */
export interface AskStep extends StepBase {
  readonly kind: 'ask';
  readonly text: string;
}

/** Let the unit and the loads cool in silence. */
export interface RestStep extends StepBase {
  readonly kind: 'rest';
  readonly seconds: number;
}

interface EnergisedBase extends StepBase {
  /** Nominal load on the driven channels. */
  readonly load_ohm: number;
  /** Bench channels, from 1. All driven channels are measured. */
  readonly driven: readonly number[];
  /** Null: the default band for each frequency. */
  readonly band: Band | null;
  /** No point of this step may ask for more. Never above the smallest rating of the loads used. */
  readonly most_W: number;
}

/** Raise the level at one frequency until the stop rule, marking the power at each threshold. */
export interface ClimbStep extends EnergisedBase {
  readonly kind: 'climb';
  readonly tone: CoherentTone;
  readonly from_W: number;
  /** THD+N thresholds to mark, rising. */
  readonly marks_percent: readonly number[];
  /** The climb ends once every driven channel is above this. At least the highest mark. */
  readonly stop_percent: number;
}

export type SweepLevel =
  | { readonly kind: 'power'; readonly power_W: number }
  | { readonly kind: 'voltage'; readonly voltage_V: number }
  /** A share of the power that an earlier climb found at one of its marks, channel by channel. */
  | { readonly kind: 'mark'; readonly climb: string; readonly percent: number; readonly share: number };

/** Hold one power (or voltage) and step the frequency. */
export interface SweepStep extends EnergisedBase {
  readonly kind: 'sweep';
  readonly tones: readonly CoherentTone[];
  readonly level: SweepLevel;
  /** `power`: trim the drive at each frequency to keep the level; `drive`: keep the generator level of the first. */
  readonly hold: 'power' | 'drive';
}

export type EnergisedStep = ClimbStep | SweepStep;
export type PlanStep = AskStep | RestStep | ClimbStep | SweepStep;

/** The most that a plan can ask for, per channel unless it says otherwise. */
export interface WorstCase {
  readonly voltage_Vrms: number;
  readonly voltage_Vpk: number;
  readonly current_Apk: number;
  readonly power_W: number;
  /** All driven channels together. */
  readonly total_W: number;
  /** Energy into the hottest load over the whole plan. */
  readonly heat_J: number;
}

export interface Estimate {
  readonly points: number;
  readonly seconds: number;
  readonly worst: WorstCase;
  /** Times that the operator must be there: ask steps and changes of load. */
  readonly visits: number;
}

/** A sequence laid out for one bench: every frequency, level limit and channel settled, nothing played yet. */
export interface Plan {
  readonly name: string;
  readonly about: string;
  readonly steps: readonly PlanStep[];
  readonly estimate: Estimate;
  /** What may disappoint without being wrong, in plain words: a level that the interface may not reach. */
  readonly warnings?: readonly string[];
  readonly sequence: { readonly text: string; readonly sha256: string };
}

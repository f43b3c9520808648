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
  /** Bench channels that carry the signal, from 1. */
  readonly driven: readonly number[];
  /** Those of them that are read: all, unless the bench has fewer inputs and their taps go round in passes. */
  readonly measured: readonly number[];
  /** Mains voltage that the operator has set for this step; null: as it comes from the wall. */
  readonly mains_V: number | null;
  /** Which cell of a repetition this step belongs to, in words: `4 ohm, channels 1 and 2`; empty outside of any. */
  readonly cell: string;
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

export type Level =
  | { readonly kind: 'power'; readonly power_W: number }
  | { readonly kind: 'voltage'; readonly voltage_V: number }
  /** A share of the power that an earlier climb found at one of its marks, channel by channel. */
  | { readonly kind: 'mark'; readonly climb: string; readonly percent: number; readonly share: number };

/** Hold one power (or voltage) and step the frequency. */
export interface SweepStep extends EnergisedBase {
  readonly kind: 'sweep';
  readonly tones: readonly CoherentTone[];
  readonly level: Level;
  /** `power`: trim the drive at each frequency to keep the level; `drive`: keep the generator level of the first. */
  readonly hold: 'power' | 'drive';
}

/** At each frequency, find the highest power that keeps a distortion threshold. */
export interface CeilingStep extends EnergisedBase {
  readonly kind: 'ceiling';
  readonly tones: readonly CoherentTone[];
  readonly threshold_percent: number;
  /** No search goes below this: a unit that distorts more there has no ceiling at that frequency. */
  readonly from_W: number;
  /** Where the first search begins; null: from below, like a climb. */
  readonly start: Level | null;
}

/** Keep one level for a time and watch it. */
interface Hold<Kind extends string> extends EnergisedBase {
  readonly kind: Kind;
  readonly tone: CoherentTone;
  readonly level: Level;
  readonly seconds: number;
  /** Every record is read; a point is kept this often, and whenever something gets worse. */
  readonly every_s: number;
}

/** A warm-up is a hold whose readings are no result. */
export type HoldStep = Hold<'hold'> | Hold<'warm-up'>;

export type EnergisedStep = ClimbStep | SweepStep | CeilingStep | HoldStep;
export type PlanStep = AskStep | RestStep | EnergisedStep;

export function isEnergised(step: PlanStep): step is EnergisedStep {
  return step.kind !== 'ask' && step.kind !== 'rest';
}

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

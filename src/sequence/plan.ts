import type { Band } from '../measure/analysis.js';
import type { CoherentTone } from '../signal/coherent-tone.js';
import type { Subject } from './subject.js';

interface StepBase {
  /** Unique within the plan; given in the file or made from kind and position. */
  readonly id: string;
}

/** Stop and let the operator read, do, and confirm something. */
export interface AskStep extends StepBase {
  readonly kind: 'ask';
  readonly text: string;
  /** What the answer confirms, where something is later asked of it. */
  readonly confirms: readonly Subject[];
}

/** Let the unit and the loads cool in silence. */
export interface RestStep extends StepBase {
  readonly kind: 'rest';
  readonly seconds: number;
}

/** An interface input and the channel at whose load its tap sits. */
export interface Tap {
  readonly input: number;
  readonly channel: number;
  /** It sits at the shunt, for the current. */
  readonly shunt?: true;
}

interface WiredBase extends StepBase {
  /** Nominal load on the driven channels. */
  readonly load_ohm: number;
  /** Bench channels that carry the signal, from 1. Of a quiet step: those that are listened to. */
  readonly driven: readonly number[];
  /** Those of them that are read: all, unless the bench has fewer inputs and their taps go round in passes. */
  readonly measured: readonly number[];
  /** Channels that have this load connected: all that any step drives into it. Left out: the driven ones. */
  readonly wired?: readonly number[];
  /** Where the taps sit, when the bench has fewer inputs than channels; left out: one at every load. */
  readonly taps?: readonly Tap[];
  /** Mains voltage that the operator has set for this step; null: as it comes from the wall. */
  readonly mains_V: number | null;
  /** Which cell of a repetition this step belongs to, in words: `4 ohm, channels 1 and 2`; empty outside of any. */
  readonly cell: string;
  /** Null: the default band for each frequency. */
  readonly band: Band | null;
}

interface EnergisedBase extends WiredBase {
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
export interface MaxPowerStep extends EnergisedBase {
  readonly kind: 'max-power';
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

/** Play nothing, and listen to what the unit gives by itself: DC, hum and noise. */
export interface QuietStep extends WiredBase {
  readonly kind: 'quiet';
  readonly seconds: number;
  /** The run stops when a channel has more DC or more noise (rms in the band) than this; null: only told. */
  readonly mostDc_V: number | null;
  readonly mostNoise_V: number | null;
}

/** Steps that put a signal on the unit. */
export type EnergisedStep = ClimbStep | SweepStep | MaxPowerStep | HoldStep;
/** Steps that need loads and taps in place. */
export type WiredStep = EnergisedStep | QuietStep;
export type PlanStep = AskStep | RestStep | WiredStep;

export function isEnergised(step: PlanStep): step is EnergisedStep {
  return isWired(step) && step.kind !== 'quiet';
}

export function isWired(step: PlanStep): step is WiredStep {
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

/** What one load goes through over a whole plan, at most. */
export interface LoadWork {
  readonly channel: number;
  /** Nominal. */
  readonly load_ohm: number;
  readonly most_W: number;
  readonly heat_J: number;
  /** Highest mean power by the load's time constant: what its temperature follows. */
  readonly mean_W: number;
  /** Kelvins above the room at that mean; null when nobody stated what a watt does. */
  readonly rise_K: number | null;
}

export interface Estimate {
  readonly points: number;
  readonly seconds: number;
  readonly worst: WorstCase;
  /** By channel and load; a load that nothing plays into is not listed. */
  readonly loads: readonly LoadWork[];
  /** Into all loads together. */
  readonly energy_J: number;
  /** Times that the operator must be there: ask steps, and changes of load, mains and taps. */
  readonly visits: number;
}

/** A sequence laid out for one bench: every frequency, level limit and channel settled, nothing played yet. */
export interface Plan {
  readonly name: string;
  readonly about: string;
  readonly steps: readonly PlanStep[];
  readonly estimate: Estimate;
  /** The first claim that was given, watts per channel; absent when none was, or when it does not tell them. */
  readonly claim_W?: number;
  /** What may disappoint without being wrong, in plain words: a level that the interface may not reach. */
  readonly warnings?: readonly string[];
  readonly sequence: { readonly text: string; readonly sha256: string };
}

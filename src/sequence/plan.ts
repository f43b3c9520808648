import { PLANS } from '../steps/plans.js';
import type { EnergisedBase, StepKindName, WiredBase } from './step-base.js';
import type { CommonPlan, EnergisedPart } from './step-plan.js';

/** A step of any kind, laid out for a bench. */
export type PlanStep = { [Kind in StepKindName]: Parameters<(typeof PLANS)[Kind]['words']>[0] }[StepKindName];
/** Steps that need loads and taps in place. */
export type WiredStep = Extract<PlanStep, WiredBase>;
/** Steps that put a signal on the unit. */
export type EnergisedStep = Extract<PlanStep, EnergisedBase>;

type Energised = CommonPlan<object, EnergisedStep> & EnergisedPart<EnergisedStep>;

/** What the registry has of a kind, whichever it is. */
export type AnyStepPlan =
  | Energised
  | (CommonPlan<object, PlanStep> & { readonly needs: 'loads' | 'nothing' });

/** The one place where a step meets the entry of its own kind: that they belong together no type can say. */
export const planOfKind = (kind: StepKindName): AnyStepPlan => PLANS[kind] as unknown as AnyStepPlan;

export function isEnergised(step: PlanStep): step is EnergisedStep {
  return planOfKind(step.kind).needs === 'signal';
}

export function isWired(step: PlanStep): step is WiredStep {
  return planOfKind(step.kind).needs !== 'nothing';
}

/** What its kind says of a step. */
export function planOf(step: EnergisedStep): Energised;
export function planOf(step: PlanStep): CommonPlan<object, PlanStep>;
export function planOf(step: PlanStep): unknown {
  return planOfKind(step.kind);
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
  /** Times that the operator must be there: questions, and changes of load, mains and taps. */
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

import { isWired, type PlanStep, type WiredStep } from './plan.js';
import type { Tap, WiredBase } from './step-base.js';
import { ASK_s, fixedPart, type StepPart } from './step-plan.js';

/** What an operator must do before a step. Null where something stays as it is. */
export interface OperatorChange {
  /** Channels that get the step's load. */
  readonly load: readonly number[] | null;
  /** `wall`: take the transformer out again. */
  readonly mains_V: number | 'wall' | null;
  /** Taps that must be put somewhere else; only on benches with fewer inputs than channels. */
  readonly taps: readonly Tap[] | null;
}

const wiredOf = (step: WiredBase) => step.wired ?? step.driven;

function loadChange(step: WiredBase, before: WiredBase | null): readonly number[] | null {
  if (!before || before.load_ohm !== step.load_ohm) return wiredOf(step);
  const more = wiredOf(step).filter((channel) => !wiredOf(before).includes(channel));
  return more.length > 0 ? wiredOf(step) : null;
}

function mainsChange(step: WiredBase, before: WiredBase | null): number | 'wall' | null {
  if (step.mains_V === (before?.mains_V ?? null)) return null;
  return step.mains_V ?? 'wall';
}

function tapChange(step: WiredBase, before: WiredBase | null): readonly Tap[] | null {
  const known = before?.taps ?? [];
  const moved = (step.taps ?? []).filter(
    (tap) => !known.some((old) => old.input === tap.input && old.channel === tap.channel),
  );
  return moved.length > 0 ? moved : null;
}

/**
 * What must be changed by hand between two steps that need loads: the load, the mains, the taps. Null when
 * nothing must. Which channels are driven is no such thing: all that ever get a load have it from the start.
 *
 * @param before the last step that needed loads; null for the first, which needs everything
 */
export function operatorChange(step: WiredBase, before: WiredBase | null): OperatorChange | null {
  const change = {
    load: loadChange(step, before),
    mains_V: mainsChange(step, before),
    taps: tapChange(step, before),
  };
  return Object.values(change).every((part) => part === null) ? null : change;
}

/** Hearing each tap out when loads or taps were moved. */
const LISTEN_s = 0.2;

/**
 * What must be set up before a step, when anything must: the operator's work, where there is an operator, and the check of
 * the wiring.
 *
 * @param before the last step that needed loads
 */
export function setUpPart(step: PlanStep, before: WiredStep | null, asks: boolean): StepPart | null {
  if (!isWired(step) || operatorChange(step, before) === null) return null;
  const listened = 1 + (step.wired ?? step.driven).length;
  return fixedPart('set-up', (asks ? ASK_s : 0) + LISTEN_s * listened);
}

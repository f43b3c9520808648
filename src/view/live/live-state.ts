import type { RunEventRecord } from '../../record/run-record.js';
import type { Dot, FoundFigure, RunView, ViewCurve } from '../run-view.js';

/** What to type to see more of a run, whatever became of it. */
export interface NextCommands {
  readonly show: string;
  readonly report: string;
  readonly resume: string;
}

/** All that the live page knows. */
export interface LiveState {
  /** Null until the run has its number: before that the checklist is being gone through. */
  readonly view: RunView | null;
  readonly next: NextCommands | null;
  /** Somebody has asked for the end, which has not come yet. */
  readonly stopping: boolean;
}

/** How a list has grown: so many of its first entries are gone, and these have come at its end. */
export interface ListChange<T> {
  readonly drop: number;
  readonly more: readonly T[];
}

/** What is left of a view without the lists that only grow. */
type Heads = Omit<RunView, 'events' | 'found' | 'curve'> & { readonly curve: Omit<ViewCurve, 'dots'> | null };

/** What has become different between two states. */
export interface LiveChange {
  readonly state: Partial<Omit<LiveState, 'view'>>;
  /** Null: there is no run yet. */
  readonly view: Partial<Heads> | null;
  readonly dots: ListChange<Dot>;
  readonly events: ListChange<RunEventRecord>;
  readonly found: ListChange<FoundFigure>;
}

export const NOTHING_YET: LiveState = { view: null, next: null, stopping: false };

/**
 * What must be sent to somebody who knows `before` so that they know `after`. Dots, events and findings count as the same
 * when they are the same objects.
 */
export function changeBetween(before: LiveState, after: LiveState): LiveChange {
  return {
    state: different(without(before, 'view'), without(after, 'view')),
    view: after.view && different(before.view ? headsOf(before.view) : {}, headsOf(after.view)),
    dots: grown(before.view?.curve?.dots ?? [], after.view?.curve?.dots ?? []),
    events: grown(before.view?.events ?? [], after.view?.events ?? []),
    found: grown(before.view?.found ?? [], after.view?.found ?? []),
  };
}

/** The state after a change; `changeBetween` the other way round. */
export function applyChange(before: LiveState, change: LiveChange): LiveState {
  const state = { ...before, ...change.state };
  if (change.view === null) return { ...state, view: null };
  const heads = { ...(before.view ?? {}), ...change.view } as Heads;
  const dots = listAfter(before.view?.curve?.dots ?? [], change.dots);
  const curve = heads.curve && { ...heads.curve, dots };
  return {
    ...state,
    view: {
      ...heads,
      curve,
      events: listAfter(before.view?.events ?? [], change.events),
      found: listAfter(before.view?.found ?? [], change.found),
    },
  };
}

function headsOf(view: RunView): Heads {
  const { events: _, found: __, ...heads } = view;
  return { ...heads, curve: view.curve && without(view.curve, 'dots') };
}

function without<T extends object, K extends keyof T>(whole: T, key: K): Omit<T, K> {
  const { [key]: _, ...rest } = whole;
  return rest;
}

/** The fields of `after` that `before` has not, or has otherwise. */
function different<T extends object>(before: Partial<T>, after: T): Partial<T> {
  const changed = (key: string) =>
    JSON.stringify((before as Record<string, unknown>)[key]) !==
    JSON.stringify((after as Record<string, unknown>)[key]);
  return Object.fromEntries(Object.entries(after).filter(([key]) => changed(key))) as Partial<T>;
}

/** Lists grow at their end and lose at their beginning; one that has changed otherwise is told anew. */
function grown<T>(before: readonly T[], after: readonly T[]): ListChange<T> {
  const drop = after.length > 0 ? before.indexOf(after[0]!) : before.length;
  const kept = drop < 0 ? 0 : before.length - drop;
  const same = drop >= 0 && before[drop + kept - 1] === after[kept - 1];
  return same ? { drop, more: after.slice(kept) } : { drop: before.length, more: after };
}

function listAfter<T>(before: readonly T[], { drop, more }: ListChange<T>): readonly T[] {
  return [...before.slice(drop), ...more];
}

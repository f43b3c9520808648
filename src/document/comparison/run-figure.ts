import type { Budget } from '../../measure/budget.js';
import type { Matchable } from './matchable.js';

/** What a figure of a run says; each is compared only with its like. */
export type FigureKind =
  | 'power-at-thdn'
  | 'sum'
  | 'knee'
  | 'least-ceiling'
  | 'ceiling'
  | 'band-power'
  | 'band-thdn'
  | 'hold-power'
  | 'hold-thdn';

/** One figure of one run, with the setting that it belongs to. */
export interface RunFigure extends Matchable {
  readonly kind: FigureKind;
  readonly unit: 'W' | '%';
  /** Null when the run looked for it and found none. */
  readonly value: number | null;
  /** Expanded, in `unit`; null when none is stated. */
  readonly uncertainty: number | null;
  /** Null when none was kept. */
  readonly budget: Budget | null;
  readonly threshold_percent: number | null;
  /** Where the figure was found. */
  readonly frequency_Hz: number;
  /** Band that its readings were taken in; null where none was kept. */
  readonly measured_Hz: readonly [number, number] | null;
  /** Why there is none, or what a reader must know; empty when there is nothing to add. */
  readonly note: string;
  /** Somewhere in its band nothing was found, so that the figure may not be the worst. */
  readonly incomplete?: boolean;
  /** Of a sweep or a hold: the power that its step asked for; absent or null where it asked for several, or for volts. */
  readonly asked_W?: number | null;
}

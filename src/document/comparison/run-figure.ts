import type { Finding } from '../../record/finding.js';
import type { QuantityTraits } from '../../record/quantities.js';

/** What a figure, or a curve, is matched by. */
export interface Matchable {
  readonly run: number;
  /** What it is a figure, or a picture, of. */
  readonly what: string;
  /** Whether its level stands in the sequence only: then its step is part of what it says. */
  readonly held: boolean;
  readonly step: string;
  readonly channel: number;
  readonly driven: readonly number[];
  readonly load_ohm: number;
  readonly mains_V: number | null;
  /** Its nominal frequencies, lowest and highest; twice the same where it has one only. */
  readonly band_Hz: readonly [number, number];
}

/** One finding of one run that is a number, with what decides whether another may be held against it. */
export interface RunFigure extends Matchable {
  readonly finding: Finding;
  readonly unit: QuantityTraits['unit'];
  /** Null when the run looked for it and found none. */
  readonly value: number | null;
  /** The strictest limit comes first; null for a figure without one. */
  readonly threshold_percent: number | null;
  /** Where it was found, the frequency played; null without a tone. */
  readonly frequency_Hz: number | null;
  /** Band that its readings were taken in; null where none was kept. */
  readonly measured_Hz: readonly [number, number] | null;
  /** The power that its step requested; null where it requested several, or volts. */
  readonly asked_W: number | null;
  /** Of a figure that is the worst of a band: where nothing was found, so that it may not be the worst; else empty. */
  readonly missing_Hz: readonly number[];
  /** Whether it is one of those at single frequencies that the worst of a band was taken from. */
  readonly single: boolean;
}

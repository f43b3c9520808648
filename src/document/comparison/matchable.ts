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

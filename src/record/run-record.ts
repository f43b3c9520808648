import type { FlagCode } from '../measure/flags.js';
import type { StoredFinding } from './finding.js';
import type { Outcome } from './outcome.js';
import type { RunEvent } from './run-event.js';
import type { Read } from './schema/fields.js';
import type { pointSchema, readingSchema } from './schema/reading-schema.js';
import type { answerSchema, permitSchema, sampleSchema, sessionSchema } from './schema/run-schema.js';

/** One setting: a frequency, a level, a set of driven channels, a load. */
export type Point = Read<typeof pointSchema>;

/** What one channel gave at one point. */
export type Reading = Omit<Read<typeof readingSchema>, 'flags'> & {
  readonly flags: readonly FlagCode[];
  /** Flags of a later version by their names, where there are any; `not-known` stands among `flags` then. */
  readonly unknown_flags?: readonly string[];
  /** File name of the stored capture, relative to the captures folder; null when not kept. */
  readonly capture: string | null;
  /** Coarse spectrum for drawing, dB relative to the fundamental; null when not kept for this point. */
  readonly spectrum: DrawnSpectrum | null;
};

/** A spectrum thinned for drawing: the highest level in each of a few hundred bands. */
export interface DrawnSpectrum {
  readonly frequency_Hz: readonly number[];
  readonly level_dB: readonly number[];
}

/** An event in words, as those who look on are told of it. */
export interface RunEventRecord {
  readonly at_s: number;
  readonly kind: string;
  readonly text: string;
}

export type Permit = Read<typeof permitSchema>;
export type Session = Read<typeof sessionSchema>;
export type SensorSample = Read<typeof sampleSchema>;

/** Where a run came from that was not made into this database. */
export interface Origin {
  /** Its number in the database that it was made into. */
  readonly run: number;
  /** What it was known by when it was brought here, SHA-256. */
  readonly identity: string;
  /** When it was brought here, ISO 8601 in UTC. */
  readonly imported: string;
}

/** A whole run as the database holds it: what `show --json` prints and what a report is made of. */
export interface RunRecord {
  readonly run: number;
  /** Absent for a run that was made into this database. */
  readonly origin?: Origin;
  /**
   * What it is known by wherever it goes, SHA-256 over all that was recorded of it; null for a run that was recorded before
   * there were identities. Absent in a record that does not come out of a store.
   */
  readonly identity?: string | null;
  readonly outcome: Outcome | 'running';
  readonly reason: string;
  readonly started: string;
  readonly ended: string | null;
  readonly version: string;
  readonly unit: { readonly label: string };
  readonly bench: {
    readonly name: string;
    readonly kind: string;
    readonly rate_Hz: number;
    readonly text: string;
    readonly sha256: string;
  };
  readonly sequence: { readonly name: string; readonly text: string; readonly sha256: string };
  readonly calibration: readonly {
    readonly id: string;
    readonly kind: string;
    readonly text: string;
    readonly sha256: string;
  }[];
  readonly checklist: readonly Read<typeof answerSchema>[];
  /** The maker's claim as it was given; null without one. */
  readonly claim: string | null;
  readonly permit: Permit | null;
  readonly sessions: readonly Session[];
  readonly probes: readonly SensorSample[];
  readonly points: readonly Point[];
  readonly readings: readonly Reading[];
  /** What the steps concluded. */
  readonly findings: readonly StoredFinding[];
  readonly events: readonly RunEvent[];
}

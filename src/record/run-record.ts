import type { Band, Gap, Harmonic } from '../measure/analysis.js';
import type { FlagCode } from '../measure/flags.js';
import type { StepKindName } from '../sequence/step-base.js';
import type { StoredFinding } from './finding.js';
import type { Outcome } from './outcome.js';
import type { RunEvent } from './run-event.js';

/** Kinds of step that play points. */
export const PLAYED_KINDS = [
  'climb',
  'sweep',
  'max-power',
  'hold',
  'warm-up',
] as const satisfies readonly StepKindName[];

export type PlayedKind = (typeof PLAYED_KINDS)[number];

declare const unknown: unique symbol;
/** The name of something that this version does not know: to be shown, and for nothing else. */
export type UnknownName = string & { readonly [unknown]: true };

/** One setting: a frequency, a level, a set of driven channels, a load. */
export interface Point {
  /** From 1, in the order played. */
  readonly number: number;
  readonly step: string;
  readonly stepKind: PlayedKind | UnknownName;
  readonly nominal_Hz: number;
  readonly frequency_Hz: number;
  readonly driven: readonly number[];
  readonly load_ohm: number;
  /** Mains voltage that the operator had set; null: as it came. */
  readonly mains_V: number | null;
  /** Cell of a repetition, in words; empty outside of any. */
  readonly cell: string;
  /** Generator level of the loudest driven channel, dB below digital full scale (0 = full scale). */
  readonly level_dB: number;
  /** What was asked for, null while the unit's gain is not known yet. */
  readonly asked_W: number | null;
  /** Seconds on the bench's clock since the run began. */
  readonly at_s: number;
}

/** What one channel gave at one point. */
export interface Reading {
  readonly point: number;
  readonly step: string;
  readonly channel: number;
  readonly frequency_Hz: number;
  readonly load_ohm: number;
  /** Resistance that the power was computed with: as measured, corrected for the load's warmth. */
  readonly load_measured_ohm: number;
  readonly power_W: number;
  /** Expanded, for 95.45 % (k = 2, or more by the degrees of freedom); null when some part of the chain states none. */
  readonly uncertainty_W: number | null;
  readonly voltage_V: number;
  /** Expanded; null when some part of the chain states none, and in runs made before it was kept. */
  readonly voltage_uncertainty_V: number | null;
  /** Rms current through the load by the current shunt, and the ohms that it shows; null without such a tap. */
  readonly current_A: number | null;
  readonly load_seen_ohm: number | null;
  readonly fundamental_V: number;
  readonly noise_V: number;
  readonly dc_V: number;
  readonly peak_V: number;
  readonly crest_factor: number;
  readonly thd_percent: number | null;
  readonly thdr_percent: number | null;
  readonly thdn_percent: number;
  /** Expanded, in percent of the total as THD+N itself; null as above. */
  readonly thdn_uncertainty_percent: number | null;
  readonly sinad_dB: number;
  readonly harmonics: readonly Harmonic[];
  readonly harmonics_in_band: number;
  readonly band_Hz: Band;
  /** Load volts divided by interface output volts, in dB. */
  readonly gain_dB: number;
  readonly method: 'coherent' | 'fitted';
  readonly flags: readonly FlagCode[];
  /** Flags of a later version by their names, where there are any; `not-known` stands among `flags` then. */
  readonly unknown_flags?: readonly string[];
  readonly gaps: readonly Gap[];
  /** File name of the stored capture, relative to the captures folder; null when not kept. */
  readonly capture: string | null;
  /** Coarse spectrum for drawing, dB relative to the fundamental; null when not kept for this point. */
  readonly spectrum: DrawnSpectrum | null;
}

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

/** A permission to run one sequence on one bench with nobody there, as it was signed. */
export interface Permit {
  readonly id: string;
  readonly sequence: string;
  readonly sequence_sha256: string;
  readonly bench: string;
  /** Of the bench file and every calibration record it uses. */
  readonly bench_fingerprint: string;
  readonly claim: string | null;
  readonly by: string;
  /** Moments, ISO 8601 in UTC. */
  readonly signed: string;
  readonly expires: string;
  /** The worst case that was shown to the signer. */
  readonly worst: unknown;
  readonly checklist: readonly { readonly item: string; readonly answer: string }[];
}

/** A time at which a run was taken up again after it had broken off. */
export interface Session {
  /** From 2: the first session is the run's own start. */
  readonly number: number;
  readonly started: string;
  /** Seconds on the run's clock, and the first point of the session. */
  readonly at_s: number;
  readonly first_point: number;
  /** How the session before had ended, in words. */
  readonly before: string;
  /** The id of the permit that it stands under; null or absent without one. */
  readonly permit?: string | null;
}

/** One value of a sensor; null when it gave none. */
export interface SensorSample {
  readonly at_s: number;
  readonly probe: string;
  readonly unit: string;
  readonly value: number | null;
}

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
  readonly checklist: readonly {
    readonly item: string;
    readonly answer: string;
    readonly by: string;
    readonly at: string;
  }[];
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

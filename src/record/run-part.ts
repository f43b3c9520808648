import type { Settling } from '../measure/settled.js';
import type { StoredFinding } from './finding.js';
import type { RunEvent } from './run-event.js';
import type { Point, Reading, SensorSample } from './run-record.js';

/** How the record behind a reading had settled, as far as it is kept. */
export type SettlingFigures = Pick<Settling, 'level' | 'residue'>;

/** What the bytes of a capture hold. */
export interface CaptureMeta {
  readonly rate_Hz: number;
  readonly frames: number;
  /** Bench channels in the order of the file's channels. */
  readonly channels: readonly number[];
}

/** What is added to a run as it goes, each part whole or not at all. */
export type RunPart =
  /** `step`, `point` and `load_ohm` of each reading must be the point's own; its `capture` is not looked at. */
  | {
      readonly kind: 'point';
      readonly point: Point;
      readonly readings: readonly Reading[];
      /** Of each reading; left out or null: not known. */
      readonly settlings?: readonly (SettlingFigures | null)[];
    }
  /** The samples of a point that is stored already: a WAV file. */
  | ({ readonly kind: 'capture'; readonly point: number; readonly bytes: Uint8Array } & CaptureMeta)
  | { readonly kind: 'finding'; readonly finding: StoredFinding }
  | { readonly kind: 'event'; readonly event: RunEvent }
  | { readonly kind: 'sample'; readonly sample: SensorSample };

/** What a store keeps of a capture: enough to find it and to know it again. */
export interface StoredCapture {
  /** Name within the folder of captures. */
  readonly file: string;
  readonly sha256: string;
}

/** A part as it is stored: of a capture the name of its file, and what that must hold. */
export type StoredPart =
  | Exclude<RunPart, { kind: 'capture' }>
  | ({ readonly kind: 'capture'; readonly point: number } & StoredCapture & CaptureMeta);

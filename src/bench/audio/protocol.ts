import type { Explanation } from '../../errors/ohmest-error.js';
import type { HostFaultCode } from './audio-faults.js';
import type { StreamGeometry } from './stream-geometry.js';

/**
 * What the bench and its host process say to each other. Control goes over the IPC channel as JSON; samples go
 * over two pipes of their own, interleaved little-endian frames in the format of the stream, counted from its start.
 */
export const PLAY_FD = 3;
export const CAPTURE_FD = 4;

/** Bits of a sample, packed: 3 or 4 bytes. */
export type SampleBits = 24 | 32;

export interface StreamRequest {
  readonly playDevice: string;
  readonly captureDevice: string;
  readonly playChannels: number;
  readonly captureChannels: number;
  readonly rate_Hz: number;
  readonly bits: SampleBits;
  readonly geometry: StreamGeometry;
}

/** A sound device that PortAudio lists. */
export interface AudioDevice {
  readonly name: string;
  /** Driver family, such as ALSA. */
  readonly system: string;
  readonly inputs: number;
  readonly outputs: number;
  readonly defaultRate_Hz: number;
}

export type ToHost =
  | { readonly kind: 'list' }
  | { readonly kind: 'open'; readonly stream: StreamRequest }
  /** Fade out and drop all frames up to number `sent`, also those still in the pipe. */
  | { readonly kind: 'hush'; readonly sent: number }
  | { readonly kind: 'close' };

/** Frames since the stream began: taken by naudiodon (silence included), and captured. */
export interface StreamCounts {
  readonly written: number;
  readonly captured: number;
}

export type FromHost =
  | { readonly kind: 'devices'; readonly devices: readonly AudioDevice[] }
  | { readonly kind: 'failed'; readonly code: HostFaultCode; readonly explanation: Explanation }
  | { readonly kind: 'opened' }
  /** `accepted`: frames from the playback pipe that were played or dropped. */
  | ({ readonly kind: 'progress'; readonly accepted: number } & StreamCounts)
  /** The next frame to be written is the first one of a play. */
  | ({ readonly kind: 'started' } & StreamCounts)
  /** All that was to be heard of a play has been written. */
  | ({ readonly kind: 'silent' } & StreamCounts)
  | { readonly kind: 'starved' }
  /** The host did not run while a tone was to be heard, and ends itself. */
  | { readonly kind: 'stood-still'; readonly pause_ms: number };

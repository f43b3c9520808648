/** Rates that a bench may ask for. Some drivers take any number and resample without a word, so others are refused. */
export const RATES_HZ: readonly number[] = [44_100, 48_000, 88_200, 96_000, 176_400, 192_000];

/** How a stream is cut into pieces, in frames. */
export interface StreamGeometry {
  /** What PortAudio moves at a time. */
  readonly bufferFrames: number;
  /** What is handed to naudiodon at a time. */
  readonly chunkFrames: number;
  /** How many chunks naudiodon may hold. */
  readonly queueChunks: number;
  /** How far the parent may run ahead of what naudiodon has taken. */
  readonly creditFrames: number;
  /** What is always held back, so that a stream that starves can end in a ramp instead of a cut. */
  readonly fadeFrames: number;
}

/**
 * The pieces for a rate. Measured at 48 kHz: with 1024, 512, 4 and 100 ms of credit the output is silent at most
 * 220 ms after the parent is killed or stopped, while the parent may pause for 100 ms without a gap. Higher rates
 * keep the same times; smaller buffers lose blocks on a busy machine.
 */
export function streamGeometry(rate_Hz: number): StreamGeometry {
  const scale = Math.max(1, Math.floor(rate_Hz / 44_100));
  return {
    bufferFrames: 1024 * scale,
    chunkFrames: 512 * scale,
    queueChunks: 4,
    creditFrames: Math.round(rate_Hz / 10),
    fadeFrames: Math.round(rate_Hz / 100),
  };
}

/** Most frames between naudiodon's taking a chunk and the device's having played it, as far as this side can know. */
export function drainFrames(geometry: StreamGeometry): number {
  return geometry.queueChunks * geometry.chunkFrames + 3 * geometry.bufferFrames;
}

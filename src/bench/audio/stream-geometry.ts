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

/** More would take longer to fall silent behind a stopped parent; less could not outlast the parent's longer thoughts. */
const CREDIT_S = { usual: 0.12, sturdy: 0.075 };

/** `sturdy`: more in the device's own buffer and less on this side of it, for a device that has run out of samples. */
export type Sturdiness = keyof typeof CREDIT_S;

/**
 * The pieces for a rate. Measured on a null sink with 44.1, 48 and 192 kHz: the output is silent at most 230 ms after
 * the parent is stopped and 130 ms after it is killed, while the parent may pause for 110 ms at a time without a gap.
 * Higher rates keep the same times; smaller buffers lose blocks on a busy machine. Sturdy pieces keep within 240 ms, too.
 */
export function streamGeometry(rate_Hz: number, sturdiness: Sturdiness = 'usual'): StreamGeometry {
  const scale = Math.max(1, Math.floor(rate_Hz / 44_100));
  const chunkFrames = 512 * scale;
  return {
    bufferFrames: (sturdiness === 'sturdy' ? 4 : 2) * chunkFrames,
    chunkFrames,
    queueChunks: 4,
    creditFrames: chunkFrames * Math.floor((CREDIT_S[sturdiness] * rate_Hz) / chunkFrames),
    fadeFrames: Math.round(rate_Hz / 100),
  };
}

/** Most frames between naudiodon's taking a chunk and the device's having played it, as far as this side can know. */
export function drainFrames(geometry: StreamGeometry): number {
  return geometry.queueChunks * geometry.chunkFrames + 3 * geometry.bufferFrames;
}

import { kinkAtFrame, type LockIn } from './lock-in.js';
import { median } from './median.js';

/** A kink must exceed the usual largest kink of a hop by this much. In Gaussian noise that is beyond 8 sigma. */
const ABOVE_USUAL = 2.5;
/** Kinks below this part of the tone's amplitude are the grid of a 24-bit converter, or rounding. */
const LEAST_KINK = 5e-7;
/** Kinks in more hops than this are in the signal's nature: clipping, rectifier spikes. */
const MOST_HOPS = 8;
/** A kink that returns this often at the same phase of the tone, at this part of its size, belongs to the waveform. */
const RETURNS = 4;
const RETURN_SIZE = 0.4;

/**
 * Frames at which the waveform breaks off: isolated kinks that neither noise nor the waveform itself
 * accounts for. Finds stretches that were cut, repeated or overwritten, to the frame, unless they happen to
 * join smoothly.
 */
export function splices(samples: Float64Array, track: LockIn): number[] {
  const { kink, kinkAt, re, im } = track;
  const amplitude = 2 * median(re.map((x, hop) => Math.hypot(x, im[hop]!)));
  const limit = Math.max(ABOVE_USUAL * median(kink), LEAST_KINK * amplitude);
  const suspects = Array.from(kinkAt.filter((_, hop) => kink[hop]! > limit));
  if (suspects.length > MOST_HOPS) return [];
  return suspects
    .filter((frame) => !returns(samples, track, frame))
    .map((frame) => onset(samples, track, frame, limit));
}

/** Whether a kink of like size shows up at the same phase of the tone in other cycles. */
function returns(samples: Float64Array, track: LockIn, frame: number): boolean {
  const { cyclesPerSample } = track;
  const period = 1 / cyclesPerSample;
  const size = kinkAtFrame(samples, track, frame);
  let count = 0;
  const first = -Math.floor((frame - 3) * cyclesPerSample);
  const last = Math.floor((samples.length - 2 - frame) * cyclesPerSample);
  for (let cycle = first; cycle <= last && count < RETURNS; cycle++) {
    if (cycle === 0) continue;
    const n = frame + Math.round(cycle * period);
    const near = [n - 1, n, n + 1].map((m) => kinkAtFrame(samples, track, m));
    if (Math.max(...near) > RETURN_SIZE * size) count++;
  }
  return count >= RETURNS;
}

/** Where the trouble around a kink begins: the first frame, up to a hop back, with a kink beyond the limit. */
function onset(samples: Float64Array, track: LockIn, frame: number, limit: number): number {
  for (let n = Math.max(2, Math.ceil(frame - track.hop)); n < frame; n++) {
    if (kinkAtFrame(samples, track, n) > limit) return n;
  }
  return frame;
}

import { kinkAtFrame, type LockIn } from './lock-in.js';
import { median } from './median.js';

/** A kink must exceed the usual largest kink of a hop by this much. In Gaussian noise that is beyond 8 sigma. */
const ABOVE_USUAL = 2.5;
/** Kinks below this part of the tone's amplitude are the grid of a 24-bit converter, or rounding. */
const LEAST_KINK = 5e-7;
/** Kinks in more hops than this, or than a tenth of all, are in the signal's nature: clipping, rectifier spikes. */
const MOST_HOPS = 8;
const LEAST_MOST_HOPS = 2;
/** With fewer hops it cannot be told what is usual. */
const FEWEST_HOPS = 24;
/** A kink that returns this often near the same phase of the tone belongs to the waveform. */
const RETURNS = 4;
/** It returns at this part of its size, clear of the usual ... */
const RETURN_SIZE = 0.4;
const RETURN_ABOVE_USUAL = 1.5;
/** ... and within this part of a cycle: ripple on the rails shifts the corners of clipping about. */
const RETURN_CYCLES = 1 / 12;

/**
 * Frames at which the waveform breaks off: isolated kinks that neither noise nor the waveform itself
 * accounts for. Finds stretches that were cut, repeated or overwritten, to the frame, unless they happen to
 * join smoothly.
 */
export function splices(samples: Float64Array, track: LockIn): number[] {
  const { kink, kinkAt, re, im } = track;
  const amplitude = 2 * median(re.map((x, hop) => Math.hypot(x, im[hop]!)));
  if (kink.length < FEWEST_HOPS) return [];
  const usual = median(kink);
  const limit = Math.max(ABOVE_USUAL * usual, LEAST_KINK * amplitude);
  const suspects = Array.from(kinkAt.filter((_, hop) => kink[hop]! > limit));
  const most = Math.min(MOST_HOPS, Math.max(LEAST_MOST_HOPS, kink.length / 10));
  if (suspects.length > most) return [];
  return suspects
    .filter((frame) => !returns(samples, track, frame, RETURN_ABOVE_USUAL * usual))
    .map((frame) => onset(samples, track, frame, limit));
}

/** Whether kinks like the one at `frame` show up near the same phase of the tone in other cycles. */
function returns(samples: Float64Array, track: LockIn, frame: number, least: number): boolean {
  const { cyclesPerSample } = track;
  const enough = Math.max(least, RETURN_SIZE * kinkAtFrame(samples, track, frame));
  const reach = Math.ceil(RETURN_CYCLES / cyclesPerSample);
  const first = -Math.floor((frame - reach - 2) * cyclesPerSample);
  const last = Math.floor((samples.length - 1 - reach - frame) * cyclesPerSample);
  let count = 0;
  for (let cycle = first; cycle <= last && count < RETURNS; cycle++) {
    if (cycle === 0) continue;
    const centre = frame + Math.round(cycle / cyclesPerSample);
    for (let n = centre - reach; n <= centre + reach; n++) {
      if (kinkAtFrame(samples, track, n) > enough) {
        count++;
        break;
      }
    }
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

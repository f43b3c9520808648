import { cyclesAt } from './cycles.js';
import { sumOf } from './tone-table.js';

/**
 * A record followed in hops of whole cycles against a tone of fixed frequency and against its own
 * recent past. Hop h runs from `h * hop` to `(h + 1) * hop` frames (the hop is no whole number of frames).
 */
export interface LockIn {
  readonly cyclesPerSample: number;
  /** Mean of the record, taken off before everything else. */
  readonly dc: number;
  /** Frames a hop. */
  readonly hop: number;
  /** Tone phasor (half its amplitude) around the end of hop h, under a triangle over hops h and h + 1. */
  readonly re: Float64Array;
  readonly im: Float64Array;
  /** Largest kink in each hop, and the frame it was seen at; see `kinkAtFrame`. */
  readonly kink: Float64Array;
  readonly kinkAt: Int32Array;
}

/** Hops aimed for in a record, and the bounds on their length in frames. */
const HOPS = 512;
const SHORTEST_HOP = 128;
const LONGEST_HOP = 4096;

/**
 * Demodulates a record against a tone of `cyclesPerSample`, and notes each hop's largest kink. Under
 * triangles of whole cycles, DC and harmonics average out to second order, and the triangles add up
 * to one, so that long means of phasors stay clean too.
 */
export function lockIn(samples: Float64Array, cyclesPerSample: number): LockIn {
  const aim = Math.max(SHORTEST_HOP, Math.min(LONGEST_HOP, samples.length / HOPS));
  const hop = Math.ceil(aim * cyclesPerSample) / cyclesPerSample;
  const hops = Math.floor(samples.length / hop);
  const knots = Math.max(0, hops - 1);
  const dc = sumOf(samples) / samples.length;
  const track: LockIn = {
    cyclesPerSample,
    dc,
    hop,
    re: new Float64Array(knots),
    im: new Float64Array(knots),
    kink: new Float64Array(hops),
    kinkAt: new Int32Array(hops),
  };
  for (let h = 0; h < hops; h++) followHop(samples, track, h);
  return track;
}

/**
 * Size of what x[n] - 2 cos(w) x[n-1] + x[n-2] leaves at frame `n`, 2 or more: nothing of a pure tone,
 * the corners of clipping, and above all the jump where two stretches were spliced.
 */
export function kinkAtFrame(samples: Float64Array, { cyclesPerSample, dc }: LockIn, n: number): number {
  const twice = 2 * Math.cos(2 * Math.PI * cyclesPerSample);
  return Math.abs(samples[n]! - dc - twice * (samples[n - 1]! - dc) + samples[n - 2]! - dc);
}

function followHop(samples: Float64Array, track: LockIn, h: number): void {
  const { cyclesPerSample, dc, hop, re, im } = track;
  const start = Math.ceil(h * hop);
  const end = Math.min(samples.length, Math.ceil((h + 1) * hop));
  const [stepRe, stepIm] = [
    Math.cos(2 * Math.PI * cyclesPerSample),
    -Math.sin(2 * Math.PI * cyclesPerSample),
  ];
  const angle = -2 * Math.PI * cyclesAt(cyclesPerSample, start);
  let turnRe = Math.cos(angle);
  let turnIm = Math.sin(angle);
  // Rising and falling half of the triangles that meet in this hop.
  let upRe = 0;
  let upIm = 0;
  let downRe = 0;
  let downIm = 0;
  let up = (start - h * hop) / hop;
  // Nothing is known before frame 0, so the first two frames show no kink.
  let last = start > 0 ? samples[start - 1]! - dc : 0;
  let before = start > 1 ? samples[start - 2]! - dc : 0;
  let most = 0;
  let mostAt = start;
  for (let n = start; n < end; n++) {
    const x = samples[n]! - dc;
    const xRe = x * turnRe;
    const xIm = x * turnIm;
    upRe += xRe * up;
    upIm += xIm * up;
    downRe += xRe;
    downIm += xIm;
    up += 1 / hop;
    const next = turnRe * stepRe - turnIm * stepIm;
    turnIm = turnRe * stepIm + turnIm * stepRe;
    turnRe = next;
    const d = x - 2 * stepRe * last + before;
    const size = d < 0 ? -d : d;
    if (size > most && n > 1) {
      most = size;
      mostAt = n;
    }
    before = last;
    last = x;
  }
  track.kink[h] = most;
  track.kinkAt[h] = mostAt;
  if (h > 0) {
    re[h - 1] = re[h - 1]! + (downRe - upRe) / hop;
    im[h - 1] = im[h - 1]! + (downIm - upIm) / hop;
  }
  if (h < re.length) {
    re[h] = upRe / hop;
    im[h] = upIm / hop;
  }
}

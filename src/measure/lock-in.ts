import { cyclesAt } from './cycles.js';
import { type ToneTable, toneTable } from './tone-table.js';

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
 *
 * @param dc mean of the samples
 */
export function lockIn(samples: Float64Array, cyclesPerSample: number, dc: number): LockIn {
  const aim = Math.max(SHORTEST_HOP, Math.min(LONGEST_HOP, samples.length / HOPS));
  const hop = Math.ceil(aim * cyclesPerSample) / cyclesPerSample;
  const hops = Math.floor(samples.length / hop);
  const knots = Math.max(0, hops - 1);
  const track: LockIn = {
    cyclesPerSample,
    dc,
    hop,
    re: new Float64Array(knots),
    im: new Float64Array(knots),
    kink: new Float64Array(hops),
    kinkAt: new Int32Array(hops),
  };
  if (hops === 0) return track;
  const table = toneTable(cyclesPerSample, 2 ** Math.ceil(Math.log2(Math.ceil(hop) + 1)));
  for (let h = 0; h < hops; h++) {
    const start = Math.ceil(h * hop);
    const end = Math.min(samples.length, Math.ceil((h + 1) * hop));
    addHop(samples, track, table, h, start, end);
    noteKink(samples, track, h, start, end);
  }
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

/** Adds a hop to the two triangles that meet in it: the rising half of one, the falling half of the other. */
function addHop(
  samples: Float64Array,
  { cyclesPerSample, dc, hop, re, im }: LockIn,
  { cos, sin }: ToneTable,
  h: number,
  start: number,
  end: number,
): void {
  // The tone from the hop's beginning on, and the same under a weight that rises by one a sample.
  let cosine = 0;
  let sine = 0;
  let risingCosine = 0;
  let risingSine = 0;
  // Two samples at a time, so that no sum waits for its last self twice as often as it must.
  for (let n = start, k = 0; n < end; n += 2, k += 2) {
    const x0 = samples[n]! - dc;
    const x1 = n + 1 < end ? samples[n + 1]! - dc : 0;
    const cosine1 = x1 * cos[k + 1]!;
    const sine1 = x1 * sin[k + 1]!;
    const bothCosine = x0 * cos[k]! + cosine1;
    const bothSine = x0 * sin[k]! + sine1;
    cosine += bothCosine;
    sine += bothSine;
    risingCosine += k * bothCosine + cosine1;
    risingSine += k * bothSine + sine1;
  }
  const begun = start - h * hop;
  const upCosine = (begun * cosine + risingCosine) / hop;
  const upSine = (begun * sine + risingSine) / hop;
  const angle = 2 * Math.PI * cyclesAt(cyclesPerSample, start);
  const [turnRe, turnIm] = [Math.cos(angle) / hop, Math.sin(angle) / hop];
  if (h > 0) {
    const [downCosine, downSine] = [cosine - upCosine, sine - upSine];
    re[h - 1] = re[h - 1]! + downCosine * turnRe - downSine * turnIm;
    im[h - 1] = im[h - 1]! - downCosine * turnIm - downSine * turnRe;
  }
  if (h < re.length) {
    re[h] = upCosine * turnRe - upSine * turnIm;
    im[h] = -upCosine * turnIm - upSine * turnRe;
  }
}

/** Nothing is known before frame 0, so the first two frames show no kink. */
function noteKink(samples: Float64Array, track: LockIn, h: number, start: number, end: number): void {
  const twice = 2 * Math.cos(2 * Math.PI * track.cyclesPerSample);
  const constant = track.dc * (2 - twice);
  const first = Math.max(2, start);
  let most = 0;
  let mostAt = start;
  let before = samples[first - 2]!;
  let last = samples[first - 1]!;
  for (let n = first; n < end; n++) {
    const x = samples[n]!;
    const size = Math.abs(x - twice * last + before - constant);
    if (size > most) {
      most = size;
      mostAt = n;
    }
    before = last;
    last = x;
  }
  track.kink[h] = most;
  track.kinkAt[h] = mostAt;
}

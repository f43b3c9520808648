/** Windows laid over the edge: enough for their largest deviation to say what is usual. */
const WINDOWS = 64;
/** Each of them is the one that fits best among so many. */
const MOST_NEIGHBOURS = 20;
/** With fewer it would not. */
const FEWEST_WINDOWS = 16;
/** Reach of the search from either end, frames: two of the hops that phase steps are looked for in, and a rest. */
const REACH = 480;
/** Shortest stretch compared; each next one is twice as long. */
const SHORTEST = 3;
/** How far the edge must stand out from the window that stands out most. */
const BEYOND_OTHERS = 3;
/** Deviations below this part of the largest sample are rounding, or the grid of a 24-bit converter. */
const LEAST_DEVIATION = 1e-6;

/**
 * Breaks close to either end of a record, where too little is left behind them for a lasting phase step to be told.
 *
 * The edge is laid over stretches a whole number of cycles further in, where the waveform must be the same, distorted
 * or not. What counts is by how much it deviates from their mean, in energy
 * and along the slope of the mean (a shift in time), against the deviation of the stretch among them that deviates
 * most. So noise, ripple, hum and sag raise the bar for themselves. Meant for records with no break further in, and for tones of a cycle or more in 480 frames.
 *
 * @param cyclesPerSample the tone's frequency over the rate, as found in this record
 * @returns at most two frames, in order
 */
export function edgeBreaks(samples: Float64Array, cyclesPerSample: number): number[] {
  const frames = samples.length;
  const head = breakFrom({ samples, outermost: 0, inwards: 1 }, cyclesPerSample);
  const tail = breakFrom({ samples, outermost: frames - 1, inwards: -1 }, cyclesPerSample);
  return [...(head === null ? [] : [head]), ...(tail === null ? [] : [frames - tail])];
}

/** A record, counted inwards from one of its ends. */
interface Edge {
  readonly samples: Float64Array;
  /** Frame at that end. */
  readonly outermost: number;
  readonly inwards: 1 | -1;
}

/** Samples between the end and the break; null when there is no break. */
function breakFrom(edge: Edge, cyclesPerSample: number): number | null {
  const frames = edge.samples.length;
  const reach = Math.min(REACH, Math.floor(frames / 4));
  // Other cycles of a lower tone are so far away that a level which settles was another there.
  if (cyclesPerSample * reach < 1) return null;
  const lags = alignedLags(frames, reach, cyclesPerSample);
  if (lags.length < FEWEST_WINDOWS) return null;
  const mean = meanWindow(edge, lags, reach);
  const slope = mean.map((_, j) => (mean[Math.min(j + 1, reach)]! - mean[Math.max(j - 1, 0)]!) / 2);
  const own = windowAt(0);
  const others = lags.map((lag) => once(() => windowAt(lag)));
  function windowAt(lag: number): Window {
    const deviation = new Float64Array(mean.length);
    const shift = misalignment(lag, cyclesPerSample) / cyclesPerSample;
    const { samples, inwards } = edge;
    const start = edge.outermost + inwards * lag;
    for (let j = 0; j < mean.length; j++)
      deviation[j] = samples[start + inwards * j]! - mean[j]! - shift * slope[j]!;
    return { deviation, ...sumsOf(deviation, slope) };
  }
  const least = LEAST_DEVIATION * mean.reduce((most, x) => Math.max(most, Math.abs(x)), 0);
  for (let length = SHORTEST; length <= reach; length *= 2)
    if (standsOut(own, others, length, least * Math.sqrt(length))) return onset(own, others, length);
  return null;
}

/** By how much of a cycle a lag is no whole number of them. */
function misalignment(lag: number, cyclesPerSample: number): number {
  const cycles = lag * cyclesPerSample;
  return cycles - Math.round(cycles);
}

/**
 * Lags of nearly whole cycles: one of every so many, each the one among its neighbours that fits best. They lie closer
 * in the nearest quarter of the record, where what changes along it is most alike.
 */
function alignedLags(frames: number, reach: number, cyclesPerSample: number): number[] {
  const first = Math.ceil((reach + 1) * cyclesPerSample + 0.5);
  const last = Math.floor((frames - reach - 2) * cyclesPerSample);
  const near = first + Math.ceil((last - first) / 4);
  return [...spread(first, near, cyclesPerSample), ...spread(near, last + 1, cyclesPerSample)];
}

/** Half of all windows, from `first` cycles up to fewer than `end`; fewer where there are not so many cycles. */
function spread(first: number, end: number, cyclesPerSample: number): number[] {
  const windows = Math.min(WINDOWS / 2, Math.max(0, end - first));
  return Array.from({ length: windows }, (_, i) => {
    const from = first + Math.floor((i * (end - first)) / windows);
    const to = Math.min(first + Math.floor(((i + 1) * (end - first)) / windows), from + MOST_NEIGHBOURS);
    let best = Math.round(from / cyclesPerSample);
    for (let cycle = from + 1; cycle < to; cycle++) {
      const lag = Math.round(cycle / cyclesPerSample);
      if (apart(lag, cyclesPerSample) < apart(best, cyclesPerSample)) best = lag;
    }
    return best;
  });
}

const apart = (lag: number, cyclesPerSample: number) => Math.abs(misalignment(lag, cyclesPerSample));

/** Mean of the windows, one sample more than `reach` for its slope. */
function meanWindow(
  { samples, outermost, inwards }: Edge,
  lags: readonly number[],
  reach: number,
): Float64Array {
  const sum = new Float64Array(reach + 1);
  // Four windows at a time, so that the sums are fetched and stored a quarter as often.
  const starts = lags.map((lag) => outermost + inwards * lag);
  const whole = starts.length - (starts.length % 4);
  for (let i = 0; i < whole; i += 4) {
    const [a, b, c, d] = [starts[i]!, starts[i + 1]!, starts[i + 2]!, starts[i + 3]!];
    for (let j = 0, n = 0; j <= reach; j++, n += inwards)
      sum[j] = sum[j]! + (samples[a + n]! + samples[b + n]!) + (samples[c + n]! + samples[d + n]!);
  }
  for (const start of starts.slice(whole))
    for (let j = 0; j <= reach; j++) sum[j] = sum[j]! + samples[start + inwards * j]!;
  return sum.map((x) => x / lags.length);
}

/** Totals over the first j samples: of squares, of products with the slope, and of the slope's own squares. */
interface Sums {
  readonly energy: Float64Array;
  readonly product: Float64Array;
  readonly slope: Float64Array;
}

/** A stretch of the record: by how much it deviates from the mean of all. */
interface Window extends Sums {
  readonly deviation: Float64Array;
}

/** Most windows are never looked at, since the first tells already that the edge is like the others. */
function once<T>(make: () => T): () => T {
  let made: T | undefined;
  return () => {
    made ??= make();
    return made;
  };
}

function sumsOf(deviation: Float64Array, slope: Float64Array): Sums {
  const empty = () => new Float64Array(deviation.length + 1);
  const sums: Sums = { energy: empty(), product: empty(), slope: empty() };
  for (let j = 0; j < deviation.length; j++) {
    sums.energy[j + 1] = sums.energy[j]! + deviation[j]! ** 2;
    sums.product[j + 1] = sums.product[j]! + deviation[j]! * slope[j]!;
    sums.slope[j + 1] = sums.slope[j]! + slope[j]! ** 2;
  }
  return sums;
}

/**
 * Whether the outermost `length` samples deviate far more than any such stretch of the others, wherever in them it lies:
 * spikes at another rhythm than the tone's are as likely at the end as anywhere.
 */
function standsOut(own: Sums, others: readonly (() => Window)[], length: number, least: number): boolean {
  return [rootEnergy, alongSlope].some((size) => {
    const asked = size(own, 0, length) / BEYOND_OTHERS;
    if (!(asked > least)) return false;
    return others.every((windowOf) => {
      const other = windowOf();
      for (let from = 0; from + length < other.energy.length; from += length)
        if (size(other, from, from + length) >= asked) return false;
      return true;
    });
  });
}

function rootEnergy({ energy }: Sums, from: number, to: number): number {
  return Math.sqrt(Math.max(0, energy[to]! - energy[from]!));
}

function alongSlope({ product, slope }: Sums, from: number, to: number): number {
  const squares = slope[to]! - slope[from]!;
  return squares > 0 ? Math.abs(product[to]! - product[from]!) / Math.sqrt(squares) : 0;
}

/** The innermost sample that stands out by itself, or else the stretch that does as a whole. */
function onset({ deviation }: Window, others: readonly (() => Window)[], length: number): number {
  for (let j = deviation.length - 1; j >= 0; j--) {
    const size = Math.abs(deviation[j]!) / BEYOND_OTHERS;
    if (others.every((other) => Math.abs(other().deviation[j]!) < size)) return j + 1;
  }
  return length;
}

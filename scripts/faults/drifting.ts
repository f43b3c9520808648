import type { Harm } from './harm.js';

/** Samples on either side that one sample between them is made of. */
const REACH = 48;
/** Of the Kaiser window: side lobes below -120 dB. */
const BETA = 12.3;

/**
 * From sample `from` on the capturing clock is slower than the playing one by `drift`, a fraction: every sample is taken
 * a little later, between two of those that came in. Windowed-sinc interpolation: Kaiser, "Nonrecursive digital filter design
 * using the I0-sinh window function", 1974. Below half of the Nyquist frequency it is exact to better than -110 dB, as its test shows.
 */
export function drifting(from: number, drift: number): Harm {
  const lines: Line[] = [];
  return {
    from,
    take: (channels, at) =>
      channels.map((samples, i) => {
        lines[i] ??= { past: new Float64Array(0), first: at, next: at };
        return drawn(lines[i], samples, from, drift);
      }),
  };
}

interface Line {
  past: Float64Array;
  /** Number of the first sample in `past`, and the place at which the next one is drawn. */
  first: number;
  next: number;
}

function drawn(line: Line, samples: Float64Array, from: number, drift: number): Float64Array {
  const known = Float64Array.of(...line.past, ...samples);
  const end = line.first + known.length;
  const out: number[] = [];
  while (line.next + REACH + 1 < end) {
    out.push(valueAt(known, line.next - line.first));
    line.next += line.next < from ? 1 : 1 + drift;
  }
  const keepFrom = Math.max(0, Math.floor(line.next) - REACH - line.first);
  line.past = known.slice(keepFrom);
  line.first += keepFrom;
  return Float64Array.from(out);
}

/** The value at a place between two samples; what lies before the first one is silence. */
function valueAt(samples: Float64Array, place: number): number {
  const whole = Math.floor(place);
  const part = place - whole;
  if (part === 0) return samples[whole]!;
  const phase = part * PHASES;
  const row = Math.floor(phase);
  const between = phase - row;
  const [near, far] = [row * 2 * REACH, (row + 1) * 2 * REACH];
  let sum = 0;
  for (let k = 0; k < 2 * REACH; k += 1) {
    const weight = WEIGHTS[near + k]! + between * (WEIGHTS[far + k]! - WEIGHTS[near + k]!);
    sum += (samples[whole + 1 - REACH + k] ?? 0) * weight;
  }
  return sum;
}

const kaiser = (x: number): number => (Math.abs(x) >= 1 ? 0 : besselI0(BETA * Math.sqrt(1 - x * x)) / TOP);

/** Modified Bessel function of order 0 by its power series, which ends for arguments as small as these. */
function besselI0(x: number): number {
  let [term, sum] = [1, 1];
  for (let k = 1; term > 1e-17 * sum; k += 1) {
    term *= (x / (2 * k)) ** 2;
    sum += term;
  }
  return sum;
}

const TOP = besselI0(BETA);

/** Places between two samples for which the weights are worked out; between those they are straight lines. */
const PHASES = 4096;

const WEIGHTS = Float64Array.from({ length: (PHASES + 1) * 2 * REACH }, (_, i) => {
  const distance = Math.floor(i / (2 * REACH)) / PHASES - (1 - REACH + (i % (2 * REACH)));
  const sinc = distance === 0 ? 1 : Math.sin(Math.PI * distance) / (Math.PI * distance);
  return sinc * kaiser(distance / REACH);
});

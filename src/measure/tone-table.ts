import { cyclesAt } from './cycles.js';

/**
 * A tone over one block of samples, cos and sin of 2 pi f k: any stretch of it is this table turned by the angle at its
 * beginning. So a record is gone through with plain sums of products, which wait for nothing, where a rotation carried
 * from sample to sample waits for its own last step each time.
 */
export interface ToneTable {
  /** Frequency over rate. */
  readonly f: number;
  readonly cos: Float64Array;
  readonly sin: Float64Array;
}

const BLOCK = 512;

/**
 * Rounding: each entry is the product of as many turns as `length` has binary digits, at most.
 *
 * @param length a power of two
 */
export function toneTable(f: number, length = BLOCK): ToneTable {
  const cos = new Float64Array(length);
  const sin = new Float64Array(length);
  cos[0] = 1;
  for (let step = 1; step < length; step *= 2) {
    const angle = 2 * Math.PI * cyclesAt(f, step);
    const [re, im] = [Math.cos(angle), Math.sin(angle)];
    for (let k = 0; k < step; k++) {
      cos[step + k] = cos[k]! * re - sin[k]! * im;
      sin[step + k] = cos[k]! * im + sin[k]! * re;
    }
  }
  return { f, cos, sin };
}

/** Sums of samples times cos and sin of 2 pi f t, t counted from the middle of the record. */
export interface Correlation {
  cosine: number;
  sine: number;
}

/** What the samples have in common with each of some tones. */
export function correlated(samples: Float64Array, tables: readonly ToneTable[]): Correlation[] {
  const sums = tables.map(() => ({ cosine: 0, sine: 0 }));
  const block = new Float64Array(BLOCK);
  // Block by block for all tones, so that the samples are fetched once.
  for (let start = 0; start < samples.length; start += BLOCK) {
    const stretch = samples.subarray(start, start + BLOCK);
    block.set(stretch);
    block.fill(0, stretch.length);
    for (let i = 0; i < tables.length; i++) addBlock(block, tables[i]!, sums[i]!, start, samples.length);
  }
  return sums;
}

function addBlock(
  block: Float64Array,
  { f, cos, sin }: ToneTable,
  sums: Correlation,
  start: number,
  frames: number,
) {
  // Two sums each, so that one addition need not wait for the other.
  let c0 = 0;
  let c1 = 0;
  let s0 = 0;
  let s1 = 0;
  for (let k = 0; k < BLOCK; k += 2) {
    const x0 = block[k]!;
    const x1 = block[k + 1]!;
    c0 += x0 * cos[k]!;
    s0 += x0 * sin[k]!;
    c1 += x1 * cos[k + 1]!;
    s1 += x1 * sin[k + 1]!;
  }
  const angle = angleAt(f, start, frames);
  const [re, im] = [Math.cos(angle), Math.sin(angle)];
  sums.cosine += (c0 + c1) * re - (s0 + s1) * im;
  sums.sine += (c0 + c1) * im + (s0 + s1) * re;
}

/** Takes cosine cos(2 pi f t) + sine sin(2 pi f t) of each tone off the samples, t counted from the middle of the record. */
export function subtractTones(
  samples: Float64Array,
  tables: readonly ToneTable[],
  parts: readonly Readonly<Correlation>[],
): void {
  for (let start = 0; start < samples.length; start += BLOCK) {
    const block = samples.subarray(start, start + BLOCK);
    for (let i = 0; i < tables.length; i++) {
      const { f, cos, sin } = tables[i]!;
      const { cosine, sine } = parts[i]!;
      const angle = angleAt(f, start, samples.length);
      const [re, im] = [Math.cos(angle), Math.sin(angle)];
      subtractBlock(block, cos, cosine * re + sine * im, sin, sine * re - cosine * im);
    }
  }
}

function subtractBlock(
  block: Float64Array,
  cos: Float64Array,
  a: number,
  sin: Float64Array,
  b: number,
): void {
  const count = block.length;
  for (let k = 0; k < count; k++) block[k] = block[k]! - (a * cos[k]! + b * sin[k]!);
}

/** Angle in radians at sample `n`, counted from the middle of the record. */
function angleAt(f: number, n: number, frames: number): number {
  return 2 * Math.PI * (cyclesAt(f, n) - cyclesAt(f / 2, frames - 1));
}

import type { RowTransform } from './row-transform.js';

/** Bins of a row handled at a time: what they become, from all rows together, still fits into a first-level cache. */
const BLOCK_FRAMES = 1024;

/** Where one channel's spectrum goes. */
interface SpectrumRoom {
  /** What its samples were divided by. */
  readonly scale: number;
  /** Room for rms phasors, re, im, re, im, ... from DC to half the rate. */
  readonly bins: Float64Array;
}

/** Bins, and the sum of their squares. */
interface Filled {
  readonly bins: Float64Array;
  readonly meanSquare: number;
}

/**
 * Takes the transform of two real channels, one as the real and one as the imaginary part, apart: the first channel's
 * spectrum has even symmetry, i times the second's odd.
 */
export function takeApart(
  transform: RowTransform,
  first: SpectrumRoom,
  second: SpectrumRoom,
): [Filled, Filled] {
  const { frames, rows, rowFrames, data: z } = transform;
  const [a, b] = [first.bins, second.bins];
  const unitA = (first.scale * Math.SQRT1_2) / frames;
  const unitB = (second.scale * Math.SQRT1_2) / frames;
  const pair: Pair = { a, b, unitA, unitB, squaresA: 0, squaresB: 0 };
  const block = Math.max(1, BLOCK_FRAMES / rows);
  for (let from = 0; from < rowFrames / 2; from += block) {
    const to = Math.min(rowFrames / 2, from + block);
    for (let row = 0; row < rows; row++) takeRowApart(transform, pair, row, from, to);
  }
  // DC and half the rate are their own mirror images, and so are all of a cosine by themselves.
  const alone = (place: SpectrumRoom, i: number, value: number) => {
    place.bins[i] = (place.scale / frames) * value;
    place.bins[i + 1] = 0;
    return place.bins[i] ** 2;
  };
  const edgesA = alone(first, 0, z[0]!) + alone(first, frames, z[rowFrames]!);
  const edgesB = alone(second, 0, z[1]!) + alone(second, frames, z[rowFrames + 1]!);
  return [
    { bins: a, meanSquare: pair.squaresA + edgesA },
    { bins: b, meanSquare: pair.squaresB + edgesB },
  ];
}

interface Pair {
  readonly a: Float64Array;
  readonly b: Float64Array;
  readonly unitA: number;
  readonly unitB: number;
  squaresA: number;
  squaresB: number;
}

/** Bins number `from` to `to` of one row, with their mirror images, which lie in the mirrored row. */
function takeRowApart(transform: RowTransform, pair: Pair, row: number, from: number, to: number): void {
  const { rows, rowFrames, rowStarts, data: z } = transform;
  const { a, b, unitA, unitB } = pair;
  const start = rowStarts[row]!;
  let squaresA = 0;
  let squaresB = 0;
  // Bin `frames - k`: in the first row bins pair off with one another, bin 0 with itself.
  const mirrorStart = row === 0 ? 2 * rowFrames : rowStarts[rows - row]! + 2 * (rowFrames - 1);
  for (let i = 2 * (row === 0 ? Math.max(1, from) : from); i < 2 * to; i += 2) {
    const re = z[start + i]!;
    const im = z[start + i + 1]!;
    const mirrorRe = z[mirrorStart - i]!;
    const mirrorIm = z[mirrorStart - i + 1]!;
    const k = i * rows + 2 * row;
    const aRe = unitA * (re + mirrorRe);
    const aIm = unitA * (im - mirrorIm);
    const bRe = unitB * (im + mirrorIm);
    const bIm = unitB * (mirrorRe - re);
    a[k] = aRe;
    a[k + 1] = aIm;
    b[k] = bRe;
    b[k + 1] = bIm;
    squaresA += aRe * aRe + aIm * aIm;
    squaresB += bRe * bRe + bIm * bIm;
  }
  pair.squaresA += squaresA;
  pair.squaresB += squaresB;
}

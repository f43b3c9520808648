import FFT from 'fft.js';

/** Longest row: its data, a copy of it and the table together stay within a second-level cache of 1 MB. */
const LONGEST_ROW = 2 ** 14;
/** Columns of all rows that are worked on at a time. */
const COLUMNS = 256;
/** Complex numbers between rows: at distances of whole powers of two they would evict one another from the cache. */
const PADDING = 8;

/** A record, and the factor that its samples are to be multiplied by. */
export interface ScaledRecord {
  readonly samples: Float64Array;
  readonly factor: number;
}

/**
 * Complex transforms of `frames` points, a power of two.
 *
 * A long one is cut up before it is transformed, because a transform that reaches all over several megabytes waits for
 * memory most of the time. Steps of decimation in frequency, four parts each (W. M. Gentleman, G. Sande, "Fast Fourier
 * transforms: for fun and profit", 1966), turn it into independent rows, column by column; each row is then transformed
 * on its own. So its bins come out row by row: bin k is number floor(k / rows) of the row for the remainder k % rows.
 */
export interface RowTransform {
  readonly frames: number;
  readonly rows: number;
  readonly rowFrames: number;
  /** Where in `data` the row of each remainder begins. */
  readonly rowStarts: Int32Array;
  /** What came out last: re, im, re, im, ... */
  readonly data: Float64Array;
  /** Transforms one record as the real and one as the imaginary part, both filled up with zeros to `frames`. */
  readonly transform: (real: ScaledRecord, imaginary: ScaledRecord) => void;
}

/** Tables and work space for transforms of one size. */
export function rowTransform(frames: number): RowTransform {
  const turns: Float64Array[] = [];
  let rowFrames = frames;
  for (; rowFrames > LONGEST_ROW; rowFrames /= 4) turns.push(turnsOf(rowFrames));
  const rows = frames / rowFrames;
  const rowStep = 2 * (rowFrames + PADDING);
  const data = new Float64Array(rows * rowStep);
  const table: Table = { data, rows, rowStep, turns };
  const fft = new FFT(rowFrames);
  const places = Array.from({ length: rows }, (_, row) =>
    data.subarray(row * rowStep, row * rowStep + 2 * rowFrames),
  );
  const copy = new Float64Array(2 * rowFrames);
  function transform(real: ScaledRecord, imaginary: ScaledRecord): void {
    for (let from = 0; from < rowFrames; from += COLUMNS) {
      const to = Math.min(rowFrames, from + COLUMNS);
      for (let row = 0; row < rows; row++) {
        const begin = row * rowFrames;
        fill(data.subarray(row * rowStep + 2 * from), real, imaginary, begin + from, begin + to);
      }
      decimateColumns(table, { firstRow: 0, rows, step: 0 }, from, to);
    }
    for (const place of places) {
      copy.set(place);
      fft.transform(place, copy);
    }
  }
  const rowStarts = Int32Array.from(rowOrder(rows), (row) => row * rowStep);
  return { frames, rows, rowFrames, rowStarts, data, transform };
}

/** exp(-2 pi i p / size) for the first quarter of a turn. */
function turnsOf(size: number): Float64Array {
  return Float64Array.from({ length: size / 2 }, (_, i) => {
    const angle = (2 * Math.PI * (i >> 1)) / size;
    return i % 2 === 0 ? Math.cos(angle) : -Math.sin(angle);
  });
}

/**
 * Which row holds the bins of each remainder. Each step of four deals them out by the last digit to base 4 of what is
 * left of the remainder, so rows lie in the order of its digits reversed.
 */
function rowOrder(rows: number): number[] {
  return Array.from({ length: rows }, (_, remainder) => {
    let row = 0;
    for (let [left, parts] = [remainder, rows]; parts > 1; parts /= 4, left >>= 2) row = 4 * row + (left & 3);
    return row;
  });
}

/** Puts samples `from` up to `to` of two records beside one another, zeros beyond their ends. */
function fill(
  place: Float64Array,
  { samples: a, factor: factorA }: ScaledRecord,
  { samples: b, factor: factorB }: ScaledRecord,
  from: number,
  to: number,
): void {
  const bothEnd = Math.max(from, Math.min(to, a.length, b.length));
  for (let n = from, i = 0; n < bothEnd; n++, i += 2) {
    place[i] = a[n]! * factorA;
    place[i + 1] = b[n]! * factorB;
  }
  for (let n = bothEnd, i = 2 * (n - from); n < to; n++, i += 2) {
    place[i] = n < a.length ? a[n]! * factorA : 0;
    place[i + 1] = n < b.length ? b[n]! * factorB : 0;
  }
}

interface Table {
  readonly data: Float64Array;
  readonly rows: number;
  /** From the beginning of one row to that of the next. */
  readonly rowStep: number;
  /** For each step. */
  readonly turns: readonly Float64Array[];
}

/** Rows that still hang together before one of the steps. */
interface Part {
  readonly firstRow: number;
  readonly rows: number;
  readonly step: number;
}

/** Cuts a part up into its rows, in the columns `from` up to `to` of every row. */
function decimateColumns(table: Table, part: Part, from: number, to: number): void {
  const { firstRow, rows, step } = part;
  if (rows === 1) return;
  const { data, rowStep, turns } = table;
  const quarter = rows / 4;
  const columns = { count: to - from, distance: quarter * rowStep };
  for (let row = 0; row < quarter; row++) {
    const turn = 2 * from + row * (turns[step]!.length / quarter);
    decimate(data, (firstRow + row) * rowStep + 2 * from, columns, turns[step]!, turn);
  }
  for (let n = 0; n < 4; n++)
    decimateColumns(table, { firstRow: firstRow + n * quarter, rows: quarter, step: step + 1 }, from, to);
}

/**
 * One step of decimation in frequency, in place, on four quarters `distance` apart: what becomes of quarter r is what
 * has to be transformed for the bins 4 q + r.
 */
function decimate(
  data: Float64Array,
  start: number,
  { count, distance }: { readonly count: number; readonly distance: number },
  turns: Float64Array,
  turn: number,
): void {
  for (let i = 0; i < 2 * count; i += 2) {
    const a = start + i;
    const b = a + distance;
    const c = b + distance;
    const d = c + distance;
    const aRe = data[a]!;
    const aIm = data[a + 1]!;
    const bRe = data[b]!;
    const bIm = data[b + 1]!;
    const cRe = data[c]!;
    const cIm = data[c + 1]!;
    const dRe = data[d]!;
    const dIm = data[d + 1]!;
    const evenRe = aRe + cRe;
    const evenIm = aIm + cIm;
    const unevenRe = aRe - cRe;
    const unevenIm = aIm - cIm;
    const sumRe = bRe + dRe;
    const sumIm = bIm + dIm;
    const differenceRe = bRe - dRe;
    const differenceIm = bIm - dIm;
    // Two and three turns are reckoned: a table three times as long would have to come from memory.
    const re1 = turns[turn + i]!;
    const im1 = turns[turn + i + 1]!;
    const re2 = re1 * re1 - im1 * im1;
    const im2 = 2 * re1 * im1;
    const re3 = re1 * re2 - im1 * im2;
    const im3 = re1 * im2 + im1 * re2;
    const x1 = unevenRe + differenceIm;
    const y1 = unevenIm - differenceRe;
    const x2 = evenRe - sumRe;
    const y2 = evenIm - sumIm;
    const x3 = unevenRe - differenceIm;
    const y3 = unevenIm + differenceRe;
    data[a] = evenRe + sumRe;
    data[a + 1] = evenIm + sumIm;
    data[b] = x1 * re1 - y1 * im1;
    data[b + 1] = x1 * im1 + y1 * re1;
    data[c] = x2 * re2 - y2 * im2;
    data[c + 1] = x2 * im2 + y2 * re2;
    data[d] = x3 * re3 - y3 * im3;
    data[d + 1] = x3 * im3 + y3 * re3;
  }
}

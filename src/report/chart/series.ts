import type { FlagCode } from '../../measure/flags.js';
import type { Reading } from '../../record/run-record.js';
import { type LineStyle, strokeOf } from './line-style.js';
import { standIn } from './palette.js';

/** A series of the chart library, and what a pointer resting on each of its marks shows. */
export interface Series {
  readonly series: object;
  readonly hints: readonly (string | null)[];
}

/** A curve with more readings than this has a marker on every second, third… of them only. */
const MOST_MARKERS = 64;
const MARKER = 7;
const LINE = 1.5;

/** Flags that say that the point may not lie where it is drawn: its marker is hollow. */
const DOUBTFUL: ReadonlySet<FlagCode> = new Set([
  'harmonics-out-of-band',
  'no-harmonic-in-band',
  'not-settled',
  'gap-in-capture',
  'clipped-capture',
  'floor-limited',
  'power-not-reached',
  'no-tone',
]);

export const isDoubtful = (reading: Pick<Reading, 'flags'>): boolean =>
  reading.flags.some((flag) => DOUBTFUL.has(flag));

/** A curve through readings; readings that have no place on the axes are left out. */
export function curveSeries(
  readings: readonly Reading[],
  style: LineStyle,
  place: (reading: Reading) => readonly [x: number, y: number],
  hint: (reading: Reading) => string,
): Series {
  const shown = readings.filter((reading) => place(reading).every(Number.isFinite));
  const stride = Math.ceil(shown.length / MOST_MARKERS);
  const colour = standIn(style.colour);
  const data = shown.map((reading, i) => ({
    value: place(reading),
    ...(i % stride === 0 ? {} : { symbol: 'none' }),
    ...(isDoubtful(reading)
      ? { itemStyle: { color: standIn('paper'), borderColor: colour, borderWidth: LINE } }
      : {}),
  }));
  return {
    series: {
      type: 'line',
      data,
      silent: true,
      symbol: `path://${style.marker}`,
      symbolSize: MARKER,
      showAllSymbol: true,
      lineStyle: strokeOf(style),
      itemStyle: { color: colour },
    },
    hints: shown.map((reading) => [hint(reading), ...reading.flags].join('; ')),
  };
}

export interface Mark {
  readonly x: number;
  readonly y: number;
  readonly hint: string;
  /** Text at its left, null for none. */
  readonly label: string | null;
}

/** Single marks, larger than those of a curve and hollow, some with words beside them. */
export function markSeries(marks: readonly Mark[], style: LineStyle, shape: string): Series {
  return {
    series: {
      type: 'scatter',
      silent: true,
      symbol: `path://${shape}`,
      symbolSize: 12,
      itemStyle: {
        color: 'transparent',
        borderColor: standIn(style.colour),
        borderWidth: 1.8,
        opacity: 1,
      },
      data: marks.map(({ x, y, label }) => ({
        value: [x, y],
        label: {
          show: label !== null,
          formatter: label ?? '',
          position: 'left',
          distance: 6,
          ...HALO_TEXT,
          fontWeight: 600,
        },
      })),
      z: 4,
    },
    hints: marks.map((mark) => mark.hint),
  };
}

/** Words below a place in the plot. */
export function wordsAt(x: number, y: number, words: string): Series {
  return {
    series: {
      type: 'scatter',
      silent: true,
      symbolSize: 0,
      data: [[x, y]],
      label: { show: true, formatter: words, position: 'bottom', distance: 6, ...HALO_TEXT, fontWeight: 600 },
      z: 4,
    },
    hints: [null],
  };
}

/** Text over lines: a rim in the colour of the paper keeps it readable. */
export const HALO_TEXT = {
  color: standIn('ink'),
  fontSize: 12,
  textBorderColor: standIn('paper'),
  textBorderWidth: 4,
};

/** Lines right across the plot at given heights, named at the right end. */
export function acrossLines(lines: readonly { readonly y: number; readonly name: string }[]): Series {
  return {
    series: {
      type: 'line',
      data: [],
      silent: true,
      markLine: {
        silent: true,
        symbol: 'none',
        lineStyle: { color: standIn('ink'), width: 1, type: [1, 3] },
        data: lines.map(({ y, name }) => ({
          yAxis: y,
          label: { formatter: name, position: 'end', distance: 4, color: standIn('ink'), fontSize: 12 },
        })),
      },
    },
    hints: [],
  };
}

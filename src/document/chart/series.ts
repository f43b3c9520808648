import type { FlagCode } from '../../measure/flags.js';
import type { Reading } from '../../record/run-record.js';
import type { LineStyle } from './line-style.js';
import type { ColourName } from './palette.js';

/** A place on a line, in positions along the axes. */
export interface Spot {
  readonly x: number;
  readonly y: number;
  /** What a pointer resting on its marker shows; null: it has no marker. */
  readonly hint: string | null;
  /** It may not lie where it is drawn: its marker is hollow. */
  readonly doubtful?: boolean;
}

/** How a line is drawn: its look, how thick, and how large its markers are. */
export interface Stroke extends LineStyle {
  readonly width?: number;
  /** Half the width of a marker in pixels. */
  readonly radius?: number;
}

/** A single mark with an outline of its own, with words at its left. */
export interface Mark {
  readonly x: number;
  readonly y: number;
  readonly hint: string;
  /** Null for none. */
  readonly label: string | null;
}

/** What a chart is made of: lines with markers, single marks, lines right across. */
export type Series =
  | { readonly kind: 'line'; readonly stroke: Stroke; readonly spots: readonly Spot[] }
  | {
      readonly kind: 'marks';
      readonly colour: ColourName;
      readonly outline: string;
      readonly marks: readonly Mark[];
    }
  | { readonly kind: 'across'; readonly lines: readonly { readonly y: number; readonly name: string }[] };

/** A curve with more readings than this has a marker on every second, third… of them only. */
const MOST_MARKERS = 64;

/** Flags that say that the point may not lie where it is drawn: its marker is hollow. */
const DOUBTFUL: ReadonlySet<FlagCode> = new Set([
  'harmonics-out-of-band',
  'no-harmonic-in-band',
  'not-settled',
  'gap-in-capture',
  'clipped-capture',
  'floor-limited',
  'power-not-reached',
  'not-as-before',
  'no-tone',
]);

/** What a caption says of hollow markers. */
export const HOLLOW = 'Hollow markers are readings that carry a flag.';

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
  const marked = everyFew(shown.length, MOST_MARKERS);
  const spots = shown.map((reading, i) => {
    const [x, y] = place(reading);
    // Words for thousands of readings that have no marker would take most of the time of a report.
    const words = marked(i) ? [hint(reading), ...reading.flags].join('; ') : null;
    return { x, y, hint: words, doubtful: isDoubtful(reading) };
  });
  return { kind: 'line', stroke: style, spots };
}

/** Which of so many have a marker when at most `most` may. */
function everyFew(count: number, most: number): (index: number) => boolean {
  const stride = Math.ceil(count / most);
  return (index) => index % stride === 0;
}

/** A line through spots, those without a place on the axes left out, with a marker on at most so many. */
export function lineSeries(
  spots: readonly Spot[],
  stroke: Stroke,
  mostMarkers: number = MOST_MARKERS,
): Series {
  const shown = spots.filter(({ x, y }) => Number.isFinite(x) && Number.isFinite(y));
  const marked = everyFew(shown.length, mostMarkers);
  return {
    kind: 'line',
    stroke,
    spots: shown.map((spot, i) => (marked(i) ? spot : { ...spot, hint: null })),
  };
}

/** Single marks, larger than those of a curve and hollow, some with words beside them. */
export const markSeries = (
  marks: readonly Mark[],
  { colour }: Pick<LineStyle, 'colour'>,
  outline: string,
): Series => ({ kind: 'marks', colour, outline, marks });

/** Lines right across the plot at given heights, named at the right end. */
export const acrossLines = (lines: readonly { readonly y: number; readonly name: string }[]): Series => ({
  kind: 'across',
  lines,
});

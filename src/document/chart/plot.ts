import type { Chart } from '../model/block.js';
import { type LaidAxis, layAxis, shareOn } from './axis.js';

/** The sizes that a chart is drawn in; the page shows the one that fits. */
export const SIZES = {
  narrow: { width: 360, height: 320 },
  middle: { width: 500, height: 350 },
  wide: { width: 860, height: 440 },
} as const;

export type SizeName = keyof typeof SIZES;

export interface Size {
  readonly width: number;
  readonly height: number;
}

/** Pixels between the edges of a drawing and its plot: room for the numbers and names of the axes. */
const MARGINS = { left: 54, right: 16, top: 34, bottom: 44 } as const;
/** The margin at the right where the names of limits or a scale of decibels stand there. */
const NAMES_RIGHT = 50;

/** The part of a drawing that data are drawn in: its edges in pixels, and where values lie. */
export interface Plot extends Size {
  readonly left: number;
  readonly right: number;
  readonly top: number;
  readonly bottom: number;
  readonly across: LaidAxis;
  readonly up: LaidAxis;
  /** Not finite for a value without a place on the axis. */
  readonly x: (value: number) => number;
  readonly y: (value: number) => number;
}

/** The axes of a chart over all that it draws. */
export function axesOf({ x, y, curves, guides, marks }: Chart): { across: LaidAxis; up: LaidAxis } {
  const points = curves.flatMap((curve) => curve.points);
  const through = guides.flatMap(({ at }) => ('through' in at ? at.through : []));
  // Where a floor lies shows nothing of the unit: the axis makes no room for it.
  const held = guides.flatMap(({ at, look }) => ('through' in at && look !== 'floor' ? at.through : []));
  const xs = guides.flatMap(({ at }) => ('x' in at ? [at.x] : []));
  const ys = guides.flatMap(({ at }) => ('y' in at ? [at.y] : []));
  const linear = y.scale === 'linear';
  const reach = points.flatMap(({ y: value, within }) =>
    linear && within ? [value - within, value + within] : [value],
  );
  return {
    across: layAxis(x, [...[...points, ...marks].map((one) => one.x), ...through.map(([at]) => at), ...xs]),
    up: layAxis(y, [...reach, ...marks.map((one) => one.y), ...held.map(([, at]) => at), ...ys]),
  };
}

export function plotOf(chart: Chart, { width, height }: Size): Plot {
  const { across, up } = axesOf(chart);
  const named = up.zero_dB !== null || chart.guides.some(({ at, look }) => look === 'limit' && 'y' in at);
  const [left, right] = [MARGINS.left, width - (named ? NAMES_RIGHT : MARGINS.right)];
  const [top, bottom] = [MARGINS.top, height - MARGINS.bottom];
  return {
    width,
    height,
    left,
    right,
    top,
    bottom,
    across,
    up,
    x: (value) => left + shareOn(across, value) * (right - left),
    y: (value) => bottom - shareOn(up, value) * (bottom - top),
  };
}

/** A length or a place in pixels, to a tenth. */
export const px = (value: number): string => String(Math.round(value * 10) / 10);

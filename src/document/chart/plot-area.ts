import type { Axis, Margins } from './axes.js';

/** The part of a drawing that data are drawn in: its edges in pixels, and where positions along the axes lie. */
export interface PlotArea {
  readonly left: number;
  readonly right: number;
  readonly top: number;
  readonly bottom: number;
  readonly x: (position: number) => number;
  readonly y: (position: number) => number;
}

export function plotArea(
  { width, height }: { readonly width: number; readonly height: number },
  margins: Margins,
  across: Axis,
  up: Axis,
): PlotArea {
  const [left, right] = [margins.left, width - margins.right];
  const [top, bottom] = [margins.top, height - margins.bottom];
  return {
    left,
    right,
    top,
    bottom,
    x: (position) => left + ((position - across.low) / (across.high - across.low)) * (right - left),
    y: (position) => bottom - ((position - up.low) / (up.high - up.low)) * (bottom - top),
  };
}

/** A length or a place in pixels, to a tenth. */
export const px = (value: number): string => String(Math.round(value * 10) / 10);

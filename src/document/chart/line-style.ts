import type { ColourName } from './palette.js';

/** How one curve looks. Dash and marker tell curves apart without colour. */
export interface LineStyle {
  readonly colour: ColourName;
  /** Lengths of strokes and spaces; empty for an unbroken line. */
  readonly dash: readonly number[];
  /** Outline of the marker as an SVG path inside a square from -1 to 1. */
  readonly marker: string;
}

const MARKERS = {
  disc: 'M-1,0A1,1,0,1,1,1,0A1,1,0,1,1,-1,0Z',
  square: 'M-.9,-.9H.9V.9H-.9Z',
  triangle: 'M0,-1L1,.9H-1Z',
  lozenge: 'M0,-1.1L1.1,0L0,1.1L-1.1,0Z',
  wedge: 'M0,1L1,-.9H-1Z',
  bar: 'M-1,-.5H1V.5H-1Z',
  post: 'M-.5,-1H.5V1H-.5Z',
} as const;

const DASHES: readonly (readonly number[])[] = [[], [7, 3], [2, 2.5], [9, 3, 2, 3]];
const COLOURS: readonly ColourName[] = ['line1', 'line2', 'line3', 'line4', 'line5', 'line6'];

/**
 * The look of the curve with this index (from 0). Colours, dashes and markers turn over after 6, 4 and 7,
 * so that no two of the first 84 curves look alike.
 */
export function lineStyle(index: number): LineStyle {
  const markers = Object.values(MARKERS);
  return {
    colour: COLOURS[index % COLOURS.length]!,
    dash: DASHES[index % DASHES.length]!,
    marker: markers[index % markers.length]!,
  };
}

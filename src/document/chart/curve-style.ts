import type { Curve } from '../model/block.js';
import type { ColourName } from './palette.js';

/** How one curve looks. Dash and marker tell curves apart without colour. */
export interface CurveStyle {
  readonly colour: ColourName;
  /** Lengths of strokes and spaces; empty for an unbroken line. */
  readonly dash: readonly number[];
  /** Thickness of the line in pixels; 0: there is none. */
  readonly width: number;
  /** Outline of the marker as an SVG path inside a square from -1 to 1; empty: there is none. */
  readonly marker: string;
  /** Half the width of a marker in pixels. */
  readonly radius: number;
  /** Whether all markers are outlines. */
  readonly hollow: boolean;
}

export const RING = 'M-1,0A1,1,0,1,1,1,0A1,1,0,1,1,-1,0Z';
export const DIAMOND = 'M0,-1L1,0L0,1L-1,0Z';

const MARKERS = [
  RING,
  'M-.9,-.9H.9V.9H-.9Z',
  'M0,-1L1,.9H-1Z',
  'M0,-1.1L1.1,0L0,1.1L-1.1,0Z',
  'M0,1L1,-.9H-1Z',
  'M-1,-.5H1V.5H-1Z',
  'M-.5,-1H.5V1H-.5Z',
] as const;
const DASHES: readonly (readonly number[])[] = [[], [7, 3], [2, 2.5], [9, 3, 2, 3]];
const COLOURS: readonly ColourName[] = ['line1', 'line2', 'line3', 'line4', 'line5', 'line6'];
/** What is unlike is thin and dotted, whatever its colour. */
const LOOKS: Readonly<Record<NonNullable<Curve['look']>, Partial<CurveStyle>>> = {
  bare: { width: 1.1, marker: '' },
  dots: { width: 0, radius: 2.5 },
  unlike: { dash: [1.5, 3.5], width: 1.1, hollow: true, radius: 3 },
};

export const colourOf = (ink: number): ColourName => COLOURS[ink % COLOURS.length]!;

/**
 * The look of a curve at a place in the list (from 0). Colours, dashes and markers turn over after 6, 4 and 7, so that no
 * two of the first 84 curves look alike.
 */
export function curveStyle({ look, ink, marker }: Omit<Curve, 'points' | 'name'>, index: number): CurveStyle {
  const common: CurveStyle = {
    colour: colourOf(ink ?? index),
    dash: DASHES[(ink ?? index) % DASHES.length]!,
    width: 1.6,
    marker: MARKERS[(marker ?? index) % MARKERS.length]!,
    radius: 3.5,
    hollow: false,
  };
  return look === undefined ? common : { ...common, ...LOOKS[look] };
}

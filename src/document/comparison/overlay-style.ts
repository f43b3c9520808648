import { type LineStyle, lineStyle } from '../chart/line-style.js';
import type { OverlayLine } from './overlay.js';

/** How a line of an overlay is drawn. */
export interface OverlayStyle extends LineStyle {
  readonly width: number;
  /** Outlined markers only. */
  readonly hollow: boolean;
}

/** Dotted and thin, whatever its run: it is of another setting. */
const UNLIKE_DASH = [1.5, 3.5] as const;

/** The run gives colour and dash, the line its marker; what is unlike is thin, dotted and hollow. */
export function overlayStyle({ position, unlike }: OverlayLine, index: number): OverlayStyle {
  const { colour, dash } = lineStyle(position);
  const { marker } = lineStyle(index);
  return unlike.length > 0
    ? { colour, marker, dash: UNLIKE_DASH, width: 1.1, hollow: true }
    : { colour, marker, dash, width: 1.7, hollow: false };
}

import type { Curve } from '../model/block.js';
import { curveStyle } from './curve-style.js';

/** A stretch of a curve with its marker, as it is drawn in a chart, as SVG. */
export function keySample(curve: Omit<Curve, 'points' | 'name'>, index: number): string {
  const { colour, dash, marker, width, hollow } = curveStyle(curve, index);
  const ink = `var(--${colour})`;
  const fill = hollow ? `fill="var(--paper)" stroke="${ink}" stroke-width=".35"` : `fill="${ink}"`;
  return `<svg viewBox="0 0 38 12" width="38" height="12" aria-hidden="true"><path d="M0,6H38" stroke="${ink}" stroke-width="${width}" stroke-dasharray="${dash.join(' ')}"/><path d="${marker}" ${fill} transform="translate(19,6) scale(3.6)"/></svg>`;
}

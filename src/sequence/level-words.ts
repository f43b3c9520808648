import { formatQuantity } from '../units/format.js';
import type { Level } from './level.js';

/** `50.0 W`, `1/8 of the 0.1 % power of climb-1k`. */
export function levelWords(level: Level): string {
  if (level.kind === 'power') return formatQuantity(level.power_W, 'W');
  if (level.kind === 'voltage') return formatQuantity(level.voltage_V, 'V');
  const share = level.share === 1 ? '' : `${shareWords(level.share)} of `;
  return `${share}the ${formatQuantity(level.percent, '%')} power of ${level.climb}`;
}

/** `1/8` where it was written so. */
function shareWords(share: number): string {
  const parts = Math.round(1 / share);
  return Math.abs(parts * share - 1) < 1e-9 ? `1/${parts}` : String(share);
}

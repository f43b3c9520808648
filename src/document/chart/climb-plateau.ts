import { flatPart } from '../../measure/knee.js';
import type { KneeResult } from '../../record/old-results.js';
import type { Reading } from '../../record/run-record.js';
import { formatQuantity } from '../../units/format.js';
import { isClearKnee } from '../model/clear-knee.js';
import type { Place, Shape } from './shapes.js';

/** A height below this share of another is seen to lie lower. */
const CLEARLY = 0.95;
/** Fewer readings give no trend: the line is level. */
const LEAST_TREND = 3;

/**
 * The trend of the flat part, from its first reading up to the knee, where its height is the plateau's. A straight line
 * fitted by least squares goes through the mean of what it was fitted to, which with the knee gives all of it.
 *
 * @param readings of the climb, by rising power
 */
export function plateauShapes(knee: KneeResult | undefined, readings: readonly Reading[]): Shape[] {
  if (!isClearKnee(knee) || knee.plateau_percent === null) return [];
  const [x, y] = [Math.log10(knee.power_W), Math.log10(knee.plateau_percent)];
  const flat = flatPart(readings.filter(({ power_W, thdn_percent }) => power_W > 0 && thdn_percent > 0));
  if (flat.length === 0) return [];
  const xs = flat.map(({ power_W }) => Math.log10(power_W));
  const ys = flat.map(({ thdn_percent }) => Math.log10(thdn_percent));
  const slope = flat.length < LEAST_TREND ? 0 : (y - mean(ys)) / (x - mean(xs));
  const from: Place = [xs[0]!, y + slope * (xs[0]! - x)];
  return [{ kind: 'rule', colour: 'ink', through: [from, [x, y]], dash: [2, 2] }];
}

const mean = (values: readonly number[]): number =>
  values.reduce((sum, value) => sum + value, 0) / values.length;

/** `knee 97.2 W`, and `plateau 0.0015 %, harmonics`, below all curves, where nothing crosses them. */
export function kneeWords(
  knee: KneeResult | undefined,
  heights: readonly number[],
  { low, high }: { readonly low: number; readonly high: number },
): Shape[] {
  if (!isClearKnee(knee)) return [];
  const x = Math.log10(knee.power_W);
  const right = x > (low + high) / 2;
  return [
    {
      kind: 'words',
      at: [x, Math.log10(Math.min(...heights.filter((height) => height > 0)))],
      lines: [`knee ${formatQuantity(knee.power_W, 'W')}`, ...plateauWords(knee)],
      anchor: right ? 'end' : 'start',
      dx: right ? 8 : -8,
      dy: 18,
      strong: true,
    },
  ];
}

/** `plateau 0.0015 %, harmonics`: how low the flat part lies, and what governs it. */
export const plateauWords = ({ plateau_percent, governed_by }: KneeResult): string[] =>
  plateau_percent === null
    ? []
    : [`plateau ${formatQuantity(plateau_percent, '%')}${governed_by === null ? '' : `, ${governed_by}`}`];

/** How the line of the plateau is to be read where it leaves the readings; empty where it does not. */
export function trendWords({ plateau_percent }: KneeResult, readings: readonly Reading[]): string {
  const least = Math.min(...readings.map(({ thdn_percent }) => thdn_percent));
  return plateau_percent !== null && plateau_percent < CLEARLY * least
    ? ' The dotted line carries the trend of the flat part on to the knee; the readings leave it before, so it ends below the least of them.'
    : '';
}

import { riseOf } from '../../measure/rise.js';
import { trendOf } from '../../measure/trend.js';
import type { KneeResult } from '../../record/old-results.js';
import type { Reading } from '../../record/run-record.js';
import { formatQuantity } from '../../units/format.js';
import { isClearKnee } from '../model/clear-knee.js';
import type { Place, Shape } from './shapes.js';

/** Places that the trend is drawn through. */
const PLACES = 40;

/**
 * The trend of the lower levels, continued to the knee: there THD+N reaches twice its height.
 *
 * @param readings of the climb, in any order
 */
export function plateauShapes(knee: KneeResult | undefined, readings: readonly Reading[]): Shape[] {
  const taken = [...readings].sort((a, b) => a.point - b.point);
  const trend = trendOf(riseOf(taken, ({ power_W }) => power_W));
  if (!isClearKnee(knee) || !trend) return [];
  const decades = Math.log10(knee.power_W / trend.from_W);
  const through = Array.from({ length: PLACES + 1 }, (_, i): Place => {
    const power_W = trend.from_W * 10 ** ((decades * i) / PLACES);
    return [Math.log10(power_W), Math.log10(trend.at(power_W))];
  });
  return [{ kind: 'rule', colour: 'ink', through, dash: [2, 2] }];
}

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

/** How the dotted line is to be read. */
export const TREND_WORDS = ' Dotted: trend of the lower levels, continued to the knee.';

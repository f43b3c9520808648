import { given } from '../../judgement/claim-words.js';
import type { CurveGroup } from '../chart/curves.js';
import type { Chart } from '../model/block.js';
import type { CeilingGroup } from '../model/ceiling-groups.js';
import { hasPower } from '../model/ceiling-groups.js';
import { FREQUENCY, POWER_ACROSS, POWER_UP, THDN } from '../model/charts/axes.js';
import { renderChartText } from './render-chart.js';

/**
 * A climb as text: THD+N upwards and power to the right. Empty when nothing can be drawn.
 *
 * @param width columns to fill, 40 or more
 */
export function textPlot(group: CurveGroup, width: number, claim_W: number | null = null): string {
  const limits = group.curves.flatMap(({ results }) =>
    results.flatMap((result) => (result.kind === 'power-at-thdn' ? [result.threshold_percent] : [])),
  );
  return drawn(width, {
    x: POWER_ACROSS,
    y: THDN,
    curves: group.curves.map(({ channel, label, readings }) => ({
      name: label,
      sign: String(channel % 10),
      points: readings.map(({ power_W, thdn_percent }) => ({ x: power_W, y: thdn_percent })),
    })),
    guides: [
      ...[...new Set(limits)].map((y) => ({ name: '', look: 'limit', at: { y } }) as const),
      ...(claim_W === null ? [] : [{ name: '', look: 'claim', at: { x: claim_W } } as const]),
    ],
  });
}

/** Maximum power against frequency as text. Empty when there is none. */
export function ceilingPlot(group: CeilingGroup, width: number, claim_W: number | null = null): string {
  return drawn(width, {
    x: FREQUENCY,
    y: POWER_UP,
    curves: [...group.channels].map(([channel, results]) => ({
      name: `channel ${channel}`,
      sign: String(channel % 10),
      points: results.filter(hasPower).map(({ nominal_Hz, power_W }) => ({ x: nominal_Hz, y: power_W })),
    })),
    guides: claim_W === null ? [] : [{ name: '', look: 'claim', at: { y: claim_W } }],
  });
}

const drawn = (width: number, chart: Pick<Chart, 'x' | 'y' | 'curves' | 'guides'>): string =>
  renderChartText({ id: '', title: '', words: '', marks: [], ...chart }, { width }).join('\n');

/** What a title says of the colons in a plot; empty without a claim. */
export const claimMark = (claim_W: number | null): string =>
  claim_W === null ? '' : `; colons: ${given(claim_W, 'W')} claimed`;

import { given } from '../../judgement/claim-words.js';
import { formatQuantity } from '../../units/format.js';
import type { Unit } from '../../units/quantity.js';
import type { CurveGroup } from '../chart/curves.js';
import { bandAxis, hasPlace, linearAxis, logAxis } from '../chart/text-axis.js';
import { inkOf, textChart } from '../chart/text-chart.js';
import type { CeilingGroup } from '../model/ceiling-groups.js';
import { hasPower } from '../model/ceiling-groups.js';

/** Rows of the plots, axis not counted. */
const CLIMB_ROWS = 16;
const BAND_ROWS = 9;

/** What a value is called beside an axis: `100 mW`, `0.1 %`, `20 Hz`. */
export const axisName =
  (unit: Unit) =>
  (value: number): string =>
    formatQuantity(value, unit, { figures: 3, trim: true });

/**
 * A climb as text: THD+N upwards and power to the right, both by decades. Each channel is drawn with the
 * last digit of its number, `*` where several meet; the dotted rows are the marked thresholds, the column of
 * colons is the claim.
 *
 * @param width columns to fill, 40 or more. Empty when nothing can be drawn.
 */
export function textPlot(group: CurveGroup, width: number, claim_W: number | null = null): string {
  const dots = group.curves.flatMap(({ channel, readings }) =>
    readings
      .filter(({ power_W, thdn_percent }) => hasPlace(power_W) && hasPlace(thdn_percent))
      .map(({ power_W, thdn_percent }) => ({ x: power_W, y: thdn_percent, ink: inkOf(channel) })),
  );
  if (dots.length === 0) return '';
  const claims = claim_W === null ? [] : [claim_W];
  return textChart({
    across: logAxis([...dots.map(({ x }) => x), ...claims], axisName('W')),
    up: logAxis(
      dots.map(({ y }) => y),
      axisName('%'),
    ),
    dots,
    levels: thresholdsOf(group),
    claimAcross: claim_W,
    width,
    rows: CLIMB_ROWS,
  }).join('\n');
}

/**
 * Power ceilings as text: power upwards, frequency to the right by decades. Empty when there is no ceiling.
 *
 * @param width columns to fill, 40 or more
 */
export function ceilingPlot(group: CeilingGroup, width: number, claim_W: number | null = null): string {
  const dots = [...group.channels].flatMap(([channel, results]) =>
    results
      .filter(hasPower)
      .map(({ nominal_Hz, power_W }) => ({ x: nominal_Hz, y: power_W, ink: inkOf(channel) })),
  );
  if (dots.length === 0) return '';
  const claims = claim_W === null ? [] : [claim_W];
  return textChart({
    across: bandAxis(
      dots.map(({ x }) => x),
      axisName('Hz'),
    ),
    up: linearAxis([...dots.map(({ y }) => y), ...claims], axisName('W')),
    dots,
    claimUp: claim_W,
    width,
    rows: BAND_ROWS,
  }).join('\n');
}

/** What a title says of the colons in a plot; empty without a claim. */
export const claimMark = (claim_W: number | null): string =>
  claim_W === null ? '' : `; colons: ${given(claim_W, 'W')} claimed`;

function thresholdsOf(group: CurveGroup): number[] {
  const marks = group.curves.flatMap(({ results }) =>
    results.flatMap((result) => (result.kind === 'power-at-thdn' ? [result.threshold_percent] : [])),
  );
  return [...new Set(marks)];
}

import { bandAxis, hasPlace, linearAxis, logAxis } from '../../document/chart/text-axis.js';
import { inkOf, type TextChart, textChart } from '../../document/chart/text-chart.js';
import { axisName, claimMark } from '../../document/text/text-plot.js';
import type { Dot, RunView, ViewCurve } from '../run-view.js';
import { cut } from './fit.js';
import { type Line, plain } from './line.js';

/** Rows besides those of the picture itself: a title above, the axis below. */
export const CURVE_FRAME_ROWS = 3;

/** Always on the axis of a band, so that the picture stands still while the band is walked. */
const BAND_Hz = [20, 20_000] as const;
/** A hold is drawn over at least this time, and in minutes from here on. */
const SHORTEST_s = 10;
const IN_MINUTES_s = 180;

type Drawn = Pick<TextChart, 'across' | 'up' | 'dots' | 'levels' | 'claimAcross' | 'claimUp'>;

/** The readings of the step so far as a small chart of `rows` rows without its frame. Empty before there is one. */
export function curveLines({ curve, claim_W, steps }: RunView, width: number, rows: number): Line[] {
  const drawn = curve && drawnOf(curve, claim_W);
  if (!drawn || drawn.dots.length === 0) return [];
  const marked = claim_W !== null && (drawn.claimAcross ?? drawn.claimUp) != null;
  const claim = claimMark(marked ? claim_W : null);
  // Until its own first point a step shows what the one before it gave.
  const before = steps.some(({ id, stage }) => id === curve.step && stage === 'now') ? '' : `${curve.step}: `;
  const title = `${before}${TITLES[curve.stepKind]}${claim}`;
  return [plain(cut(title, width)), ...textChart({ ...drawn, width, rows }).map(plain)];
}

const TITLES: Readonly<Record<ViewCurve['stepKind'], string>> = {
  climb: 'THD+N against power',
  sweep: 'THD+N against frequency',
  'max-power': 'Most power that kept the threshold so far, against frequency',
  hold: 'Power over time',
  'warm-up': 'Power over time',
};

function drawnOf(curve: ViewCurve, claim_W: number | null): Drawn | null {
  const dots = curve.dots.filter(({ power_W, thdn_percent }) => hasPlace(power_W) && hasPlace(thdn_percent));
  if (dots.length === 0) return null;
  if (curve.stepKind === 'climb') return climb(dots, curve, claim_W);
  if (curve.stepKind === 'sweep') return sweep(dots);
  return curve.stepKind === 'max-power' ? ceilings(dots, curve, claim_W) : hold(dots, claim_W);
}

function climb(dots: readonly Dot[], { thresholds_percent }: ViewCurve, claim_W: number | null): Drawn {
  const powers = dots.map(({ power_W }) => power_W);
  const residues = dots.map(({ thdn_percent }) => thdn_percent);
  return {
    across: logAxis([...powers, ...given(claim_W)], axisName('W')),
    up: logAxis([...residues, ...thresholds_percent], axisName('%')),
    dots: dots.map(({ channel, power_W, thdn_percent }) => ({
      x: power_W,
      y: thdn_percent,
      ink: inkOf(channel),
    })),
    levels: thresholds_percent,
    claimAcross: claim_W,
  };
}

function sweep(dots: readonly Dot[]): Drawn {
  const residues = dots.map(({ thdn_percent }) => thdn_percent);
  return {
    across: acrossBand(dots),
    up: logAxis(residues, axisName('%')),
    dots: dots.map(({ channel, frequency_Hz, thdn_percent }) => ({
      x: frequency_Hz,
      y: thdn_percent,
      ink: inkOf(channel),
    })),
  };
}

/** Of all that was tried at a frequency, the most power that kept the threshold. */
function ceilings(
  dots: readonly Dot[],
  { thresholds_percent }: ViewCurve,
  claim_W: number | null,
): Drawn | null {
  const threshold = thresholds_percent[0] ?? Number.POSITIVE_INFINITY;
  const most = new Map<string, Dot>();
  for (const dot of dots) {
    const key = `${dot.channel} ${dot.frequency_Hz}`;
    if (dot.thdn_percent <= threshold && dot.power_W > (most.get(key)?.power_W ?? 0)) most.set(key, dot);
  }
  const kept = [...most.values()];
  if (kept.length === 0) return null;
  return {
    across: acrossBand(dots),
    up: linearAxis([0, ...kept.map(({ power_W }) => power_W), ...given(claim_W)], axisName('W')),
    dots: kept.map(({ channel, frequency_Hz, power_W }) => ({
      x: frequency_Hz,
      y: power_W,
      ink: inkOf(channel),
    })),
    claimUp: claim_W,
  };
}

function hold(dots: readonly Dot[], claim_W: number | null): Drawn {
  const begin_s = dots[0]!.at_s;
  const span_s = Math.max(SHORTEST_s, dots.at(-1)!.at_s - begin_s);
  const [unit, unit_s] = span_s > IN_MINUTES_s ? ['min', 60] : ['s', 1];
  const powers = dots.map(({ power_W }) => power_W);
  const near =
    claim_W !== null && claim_W > 0.8 * Math.min(...powers) && claim_W < 1.25 * Math.max(...powers);
  return {
    across: linearAxis([0, span_s / unit_s], (value) => `${Number(value.toPrecision(3))} ${unit}`),
    up: linearAxis([...powers, ...(near ? [claim_W] : [])], axisName('W')),
    dots: dots.map(({ channel, at_s, power_W }) => ({
      x: (at_s - begin_s) / unit_s,
      y: power_W,
      ink: inkOf(channel),
    })),
    claimUp: near ? claim_W : null,
  };
}

const acrossBand = (dots: readonly Dot[]) =>
  bandAxis([...BAND_Hz, ...dots.map(({ frequency_Hz }) => frequency_Hz)], axisName('Hz'));

const given = (claim_W: number | null): number[] => (claim_W === null || claim_W <= 0 ? [] : [claim_W]);

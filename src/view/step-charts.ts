import type { Axis, Chart, ChartPoint, Curve, Guide, Mark } from '../document/model/block.js';
import { FREQUENCY, POWER_ACROSS, POWER_UP, THDN, TIME } from '../document/model/charts/chart-ground.js';
import { formatQuantity } from '../units/format.js';
import { groupBy } from '../units/group-by.js';
import type { Dot, ViewCurve } from './run-view.js';

/** Always on the axis of a band, so that the picture stands still while the band is walked. */
const BAND: Axis = { ...FREQUENCY, from: 20, to: 20_000 };
/** Ends at round numbers, so that a picture that grows does not move at every point. */
const POWER: Axis = { name: POWER_ACROSS.name, unit: 'W', scale: 'log' };
/** A level is drawn over at least this time. */
const COURSE: Axis = { ...TIME, to: 10 };
/** A claim nearer than this to the power that is held is shown beside it. */
const NEAR = 1.25;

/** One side of a chart: its axis, and where a dot lies on it. */
interface Side {
  readonly axis: Axis;
  readonly value: (dot: Dot) => number;
}

const power: Side = { axis: POWER_UP, value: (dot) => dot.power_W };
const thdn: Side = { axis: THDN, value: (dot) => dot.thdn_percent };
const frequency: Side = { axis: BAND, value: (dot) => dot.frequency_Hz };

/** How the readings of a step are drawn, by its kind; the first chart is the one that says most. */
const CHARTS: Readonly<
  Record<ViewCurve['stepKind'], (curve: ViewCurve, claim_W: number | null) => readonly Chart[]>
> = {
  climb: (curve, claim_W) => [climbChart(curve, claim_W)],
  'max-power': (curve, claim_W) => [maxPowerChart(curve, claim_W)],
  sweep: ({ dots }, claim_W) => [
    chartOf('THD+N against frequency', frequency, thdn, dots),
    powerChart('Power against frequency', frequency, dots, claim_W),
  ],
  hold: timeCharts,
  'warm-up': timeCharts,
};

/** The readings of the step that is being played as charts, with its limits and the claim. */
export function stepCharts(curve: ViewCurve, claim_W: number | null): readonly Chart[] {
  const shown = curve.dots.filter(({ power_W, thdn_percent }) => power_W > 0 && thdn_percent > 0);
  return CHARTS[curve.stepKind]({ ...curve, dots: shown }, claim_W !== null && claim_W > 0 ? claim_W : null);
}

function climbChart({ dots, thresholds_percent }: ViewCurve, claim_W: number | null): Chart {
  const chart = chartOf('THD+N against power', { ...power, axis: POWER }, thdn, dots);
  return {
    ...chart,
    guides: [
      ...thresholds_percent.map((y): Guide => ({ name: formatQuantity(y, '%'), look: 'limit', at: { y } })),
      ...claims(claim_W, (x) => ({ x })),
    ],
  };
}

/** A line through the highest power of each frequency that keeps the limit; what was tried beside it stays loose. */
function maxPowerChart({ dots, thresholds_percent }: ViewCurve, claim_W: number | null): Chart {
  const limit = thresholds_percent[0] ?? Number.POSITIVE_INFINITY;
  const highest = new Map<string, Dot>();
  for (const dot of dots) {
    const key = `${dot.channel} ${dot.frequency_Hz}`;
    if (dot.thdn_percent <= limit && dot.power_W > (highest.get(key)?.power_W ?? 0)) highest.set(key, dot);
  }
  const kept = new Set(highest.values());
  const title = 'Highest power that kept the limit so far, against frequency';
  const chart = chartOf(
    title,
    frequency,
    power,
    dots.filter((dot) => kept.has(dot)),
  );
  const tried = byChannel(dots).map(
    ([, own], ink): Curve => ({
      name: '',
      look: 'dots',
      sign: '',
      ink,
      marker: ink,
      points: own
        .filter((dot) => !kept.has(dot))
        .map((dot) => ({ x: dot.frequency_Hz, y: dot.power_W, doubtful: true })),
    }),
  );
  return {
    ...chart,
    curves: [...chart.curves, ...tried],
    guides: claims(claim_W, (y) => ({ y })),
    marks: latestOf(dots, frequency, power),
    words: `${title}; hollow: tried.`,
  };
}

function timeCharts({ dots }: ViewCurve, claim_W: number | null): readonly Chart[] {
  const begun_s = dots[0]?.at_s ?? 0;
  const time: Side = { axis: COURSE, value: (dot) => dot.at_s - begun_s };
  return [
    powerChart('Power against time', time, dots, claim_W),
    chartOf('THD+N against time', time, thdn, dots),
  ];
}

function powerChart(title: string, across: Side, dots: readonly Dot[], claim_W: number | null): Chart {
  // A spread of thousands of values as arguments may be more than an engine takes.
  const [low, high] = dots.reduce(
    ([least, most], { power_W }) => [Math.min(least, power_W), Math.max(most, power_W)],
    [Number.POSITIVE_INFINITY, 0],
  );
  const near = claim_W !== null && claim_W > low / NEAR && claim_W < high * NEAR;
  return {
    ...chartOf(title, across, power, dots),
    guides: claims(near ? claim_W : null, (y) => ({ y })),
  };
}

const claims = (claim_W: number | null, at: (power_W: number) => Guide['at']): Guide[] =>
  claim_W === null
    ? []
    : [
        {
          name: `claim ${formatQuantity(claim_W, 'W', { figures: 6, trim: true })}`,
          look: 'claim',
          at: at(claim_W),
        },
      ];

/** One curve a channel from left to right, with a ring at the latest reading of each. */
function chartOf(title: string, across: Side, up: Side, dots: readonly Dot[]): Chart {
  const channels = byChannel(dots);
  const point = (dot: Dot): ChartPoint => ({
    x: across.value(dot),
    y: up.value(dot),
    ...(dot.doubtful && { doubtful: true }),
  });
  return {
    id: title.toLowerCase().replace(/[^a-z]+/g, '-'),
    title,
    x: across.axis,
    y: up.axis,
    curves: channels.map(([channel, own]) => ({
      name: `channel ${channel}`,
      ink: channel - 1,
      marker: channel - 1,
      sign: String(channel % 10),
      points: own.map(point).sort((a, b) => a.x - b.x),
    })),
    guides: [],
    marks: latestOf(dots, across, up),
    words: `${title}: ${dots.length} readings of ${channels.length} channels; the latest are in the table.`,
  };
}

const latestOf = (dots: readonly Dot[], across: Side, up: Side): Mark[] =>
  byChannel(dots).map(([channel, own]) => ({
    x: across.value(own.at(-1)!),
    y: up.value(own.at(-1)!),
    shape: 'latest',
    label: [],
    hint: `latest of channel ${channel}`,
    ink: channel - 1,
  }));

const byChannel = (dots: readonly Dot[]): (readonly [channel: number, own: readonly Dot[]])[] =>
  [...groupBy(dots, ({ channel }) => channel)].sort(([a], [b]) => a - b);

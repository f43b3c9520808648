import type { RunRecord } from '../../record/run-record.js';
import { formatQuantity } from '../../units/format.js';
import { oneLine } from '../../units/visible-text.js';
import type { Chart, ChartPoint, ChartSubject, Curve, Mark, Section } from '../model/block.js';
import { POWER_ACROSS } from '../model/charts/chart-ground.js';
import { pictures, section, text } from '../model/make-blocks.js';
import { runCharts } from '../model/step-sections.js';
import { mainsWords, settingWords } from '../model/wording.js';
import type { ComparedRun, Comparison } from './comparison.js';
import type { Matchable } from './figures-of-run.js';
import { matchFigures, stepName, tonesWords, unlikeness } from './match-figures.js';

/** More lines than this in one picture are a tangle: then one channel stands for each run. */
const MOST_LINES = 6;
const LONGEST_LABEL = 48;
/** From this share of the lowest power at a limit on, climbs are shown a second time, larger. */
const NEAR_SHARE = 0.75;

interface Drawn extends Matchable {
  readonly chart: Chart;
  readonly subject: ChartSubject;
}

/** The charts that at least two runs have, their curves over each other. */
export function overlays(runs: readonly ComparedRun[]): Chart[] {
  return matchFigures(runs.map(drawnBy))
    .filter((row) => row.length > 1)
    .flatMap((row, i) => {
      const chart = overlayOf(row, runs, `overlay-${i + 1}`);
      return [chart, ...nearLimits(chart)];
    });
}

function drawnBy({ record, judged }: ComparedRun): Drawn[] {
  const charts = runCharts({ record, judged, floorAt: () => null });
  return charts.flatMap((chart) =>
    chart.subject === undefined
      ? []
      : [{ ...chart.subject, chart, subject: chart.subject, run: record.run, channel: 0 }],
  );
}

/** One run's part of a picture. */
interface Part {
  /** Of its run among those compared: it gives the lines their colour and their dash. */
  readonly position: number;
  readonly name: string;
  readonly unlike: readonly string[];
  readonly chart: Chart;
  readonly curves: readonly Curve[];
}

function overlayOf(row: readonly Drawn[], runs: readonly ComparedRun[], id: string): Chart {
  const { chart, subject } = row[0]!;
  const all = row.reduce((sum, one) => sum + one.chart.curves.length, 0) <= MOST_LINES;
  const parts = row.map((one): Part => {
    const position = runs.findIndex(({ record }) => record.run === one.run);
    const { record, unlike } = runs[position]!;
    return {
      position,
      name: nameOf(record),
      unlike: [...unlike.map((matter) => matter.toLowerCase()), ...unlikeness(one, row[0]!)],
      chart: one.chart,
      curves: all ? one.chart.curves : [one.subject.worst],
    };
  });
  const marks = parts.flatMap(marksOf);
  return {
    id,
    title: titleOf(subject),
    x: chart.x,
    y: chart.y,
    curves: parts.flatMap(curvesOf).map((curve, i) => ({ ...curve, marker: i, sign: String((i + 1) % 10) })),
    guides: limitsOf(row),
    marks,
    words: [
      ...parts.flatMap((part) => reachOf(part, chart)),
      ...(all ? [] : [subject.chosen]),
      ...(marks.length > 0 ? ['Rings: limits reached.'] : []),
    ].join(' '),
    ...(chart.wide && { wide: true }),
  };
}

const titleOf = ({ what, held, step, load_ohm, driven, mains_V, band_Hz, threshold_percent }: ChartSubject) =>
  [
    `${what}: ${held ? `${oneLine(stepName(step), 40)}, ` : ''}${tonesWords(band_Hz)}`,
    ...(threshold_percent === null ? [] : [`${formatQuantity(threshold_percent, '%')} THD+N`]),
    settingWords(load_ohm, driven),
    ...(mains_V === null ? [] : [mainsWords(mains_V)]),
  ].join(', ');

/** `run 3, Blue box`. */
const nameOf = ({ run, unit }: Pick<RunRecord, 'run' | 'unit'>): string =>
  `run ${run}, ${oneLine(unit.label, LONGEST_LABEL)}`;

const curvesOf = ({ position, name, unlike, curves }: Part): Curve[] =>
  curves.map((curve) => ({
    name: `${name}, ${curve.name}${unlike.length > 0 ? ` (unlike: ${unlike.join('; ')})` : ''}`,
    points: curve.points.map((point) => pointOf(name, point)),
    ink: position,
    ...(unlike.length > 0 && { look: 'unlike' }),
  }));

const pointOf = (name: string, point: ChartPoint): ChartPoint => ({
  x: point.x,
  y: point.y,
  ...(point.doubtful && { doubtful: true }),
  get hint() {
    return `${name}, ${point.hint}`;
  },
});

/** Rings of the curves that are drawn. */
const marksOf = ({ position, name, chart, curves }: Part): Mark[] =>
  chart.marks
    .filter(({ shape, ink }) => shape === 'ring' && curves.includes(chart.curves[ink]!))
    .map(({ x, y, hint }) => ({ x, y, shape: 'ring', label: [], hint: `${name}, ${hint}`, ink: position }));

function limitsOf(row: readonly Drawn[]): Chart['guides'] {
  const limits = row.flatMap(({ chart }) => chart.guides.filter(({ look }) => look === 'limit'));
  return [...new Map(limits.map((limit) => [limit.name, limit])).values()];
}

/** `run 3, Blue box, channel 1: 0.002 % to 1.1 %.` */
const reachOf = ({ name, curves }: Part, { y: { unit } }: Chart): string[] =>
  curves
    .filter(({ points }) => points.length > 0)
    .map((curve) => {
      const values = curve.points.map(({ y }) => y);
      const [low, high] = [Math.min(...values), Math.max(...values)].map((value) =>
        formatQuantity(value, unit),
      );
      return `${name}, ${curve.name}: ${low} to ${high}.`.replace(/^r/, 'R');
    });

/** Where units differ: the last stretch of climbs, around the limits, on a linear axis. Nothing where none was reached. */
function nearLimits(chart: Chart): Chart[] {
  if (chart.x.unit !== 'W' || chart.marks.length === 0) return [];
  const from_W = NEAR_SHARE * Math.min(...chart.marks.map(({ x }) => x));
  return [
    {
      ...chart,
      id: `${chart.id}-near`,
      title: `${chart.title}, near the limits`,
      x: { ...POWER_ACROSS, scale: 'linear' },
      curves: chart.curves.map((curve) => ({
        ...curve,
        points: curve.points.filter(({ x }) => x >= from_W),
      })),
    },
  ];
}

/** The curves of the runs over each other. */
export function curveSection({ runs }: Comparison): Section {
  const charts = overlays(runs);
  const none = 'No two runs have a curve of the same kind: there is nothing to lay over each other.';
  return section('curves', 'Curves over each other', charts.length === 0 ? [text(none)] : pictures(charts));
}

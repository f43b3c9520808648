import { type Finding, numberOf } from '../../../record/finding.js';
import { formatDuration, formatQuantity } from '../../../units/format.js';
import { visibleText } from '../../../units/visible-text.js';
import type { Chart, Curve } from '../block.js';
import { capital, settingWords } from '../wording.js';
import { type ChartGround, POWER_UP, THDN, TIME } from './chart-ground.js';
import {
  allReadings,
  channelCurves,
  levelChart,
  type ReadingAtPoint,
  readingPoint,
  type StepReadings,
  stepReadings,
} from './step-readings.js';

/** Fewer points than this are no course. */
const LEAST_POINTS = 3;
/** More channels than this are told by the one that says most. */
const FEW = 2;

/** Power and THD+N over the time of each hold. */
export function holdCharts({ record }: ChartGround): Chart[] {
  const holds = stepReadings(record, 'hold').filter(({ channels }) =>
    [...channels.values()].some((placed) => placed.length >= LEAST_POINTS),
  );
  return holds.flatMap((hold, i) => {
    const times = allReadings(hold)
      .map(({ point }) => point.at_s)
      .sort((a, b) => a - b);
    const [begun, ended] = [times[0]!, times.at(-1)!];
    const setting = `${visibleText(hold.step)}, ${settingWords(hold.load_ohm, hold.driven, hold.band_Hz[0])}`;
    const about = `${setting}, ${formatDuration(ended - begun)}`;
    const chart = levelChart(hold, `hold-${i + 1}`, TIME, about);
    const powers = curvesOf(hold, begun, ({ reading }) => reading.power_W);
    const thdn = curvesOf(hold, begun, ({ reading }) => reading.thdn_percent);
    return [
      chart('level', {
        what: 'Power against time',
        y: POWER_UP,
        curves: powers,
        words: powerWords(hold),
        worst: lowest(powers, ({ points }) => points.at(-1)?.y ?? 0),
        chosen: 'with the lowest power at the end',
      }),
      chart('thdn', {
        what: 'THD+N against time',
        y: { ...THDN, scale: 'linear', from: 0 },
        curves: thdn,
        words: thdnWords(hold),
        worst: lowest(thdn, ({ points }) => -Math.max(0, ...points.map(({ y }) => y))),
        chosen: 'with the most THD+N',
      }),
    ];
  });
}

const lowest = (curves: readonly Curve[], value: (curve: Curve) => number): Curve =>
  curves.reduce((a, b) => (value(b) < value(a) ? b : a));

const curvesOf = (hold: StepReadings, begun_s: number, up: (placed: ReadingAtPoint) => number): Curve[] =>
  channelCurves(hold, (placed) =>
    placed.map((one) => {
      const at_s = one.point.at_s - begun_s;
      return readingPoint(one, { x: at_s, y: up(one) }, formatDuration(at_s));
    }),
  );

function figures(
  { findings }: StepReadings,
  quantity: Finding['quantity'],
  statistic: Finding['statistic'],
): Map<number, number> {
  const own = findings.filter((one) => one.quantity === quantity && one.statistic === statistic);
  return new Map(
    own.flatMap((one) => (numberOf(one) === null ? [] : [[one.setting.channel ?? 0, numberOf(one)!]])),
  );
}

function powerWords(hold: StepReadings): string {
  const [first, last] = [figures(hold, 'power', 'first'), figures(hold, 'power', 'last')];
  const courses = [...first].flatMap(([channel, from]) => {
    const to = last.get(channel);
    const words = `channel ${channel} from ${formatQuantity(from, 'W')} to ${formatQuantity(to ?? from, 'W')}`;
    return to === undefined ? [] : [{ words, change: Math.abs(to / from - 1) }];
  });
  if (courses.length === 0) return 'At constant drive; the hold did not reach its end.';
  if (courses.length <= FEW) return `At constant drive: ${courses.map(({ words }) => words).join(', ')}.`;
  const most = courses.reduce((a, b) => (b.change > a.change ? b : a));
  return `At constant drive. Largest change of ${courses.length} channels: ${most.words}.`;
}

function thdnWords(hold: StepReadings): string {
  const highest = [...figures(hold, 'thdn', 'maximum')].sort(([, a], [, b]) => b - a);
  if (highest.length === 0) return 'THD+N of each reading; the hold did not reach its end.';
  const words = highest
    .slice(0, highest.length <= FEW ? FEW : 1)
    .map(([channel, percent]) => `channel ${channel} at most ${formatQuantity(percent, '%')}`);
  const of = highest.length <= FEW ? '' : `of ${highest.length} channels the highest: `;
  return `${capital(`${of}${words.join(', ')}`)}.`;
}

import { type Finding, numberOf } from '../../../record/finding.js';
import { formatDuration, formatQuantity } from '../../../units/format.js';
import { visibleText } from '../../../units/visible-text.js';
import type { Chart, Curve } from '../block.js';
import { capital } from '../capital.js';
import { settingWords } from '../wording.js';
import { type ChartGround, POWER_UP, THDN, TIME } from './chart-ground.js';
import {
  channelCurves,
  type ReadingAtPoint,
  readingPoint,
  type StepReadings,
  stepReadings,
  subjectOf,
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
    const [begun, ended] = [courseTimes(hold)[0]!, courseTimes(hold).at(-1)!];
    const setting = `${visibleText(hold.step)}, ${settingWords(hold.load_ohm, hold.driven, hold.band_Hz[0])}`;
    const about = `${setting}, ${formatDuration(ended - begun)}`;
    const common = { x: TIME, guides: [], marks: [] };
    const chart = (name: string, part: Part) => ({
      ...common,
      id: `hold-${i + 1}-${name}`,
      title: `${part.subject.what}: ${about}`,
      ...part,
    });
    return [chart('level', powerChart(hold, begun)), chart('thdn', thdnChart(hold, begun))];
  });
}

const courseTimes = ({ channels }: StepReadings): number[] =>
  [...channels.values()].flatMap((placed) => placed.map(({ point }) => point.at_s)).sort((a, b) => a - b);

type Part = Pick<Chart, 'y' | 'curves' | 'words'> & Required<Pick<Chart, 'subject'>>;

function powerChart(hold: StepReadings, begun_s: number): Part {
  const curves = curvesOf(hold, begun_s, ({ reading }) => reading.power_W);
  return {
    y: POWER_UP,
    curves,
    words: powerWords(hold),
    subject: {
      ...subjectOf(hold, true),
      what: 'Power against time',
      worst: lowest(curves, ({ points }) => points.at(-1)?.y ?? 0),
      chosen: 'Of each run only the channel with the lowest power at the end is drawn.',
    },
  };
}

function thdnChart(hold: StepReadings, begun_s: number): Part {
  const curves = curvesOf(hold, begun_s, ({ reading }) => reading.thdn_percent);
  return {
    y: { ...THDN, scale: 'linear', from: 0 },
    curves,
    words: thdnWords(hold),
    subject: {
      ...subjectOf(hold, true),
      what: 'THD+N against time',
      worst: lowest(curves, ({ points }) => -Math.max(0, ...points.map(({ y }) => y))),
      chosen: 'Of each run only the channel with the most THD+N is drawn.',
    },
  };
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

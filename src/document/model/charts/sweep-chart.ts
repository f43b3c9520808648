import { decibelsOfPower } from '../../../units/decibel.js';
import { formatQuantity } from '../../../units/format.js';
import { frequencyWords } from '../../../units/nominal-frequency.js';
import type { Chart, Curve, Guide } from '../block.js';
import { numbered, requestedWords, settingWords } from '../wording.js';
import { type ChartGround, FREQUENCY, POWER_UP, THDN } from './chart-ground.js';
import { floorGuides } from './climb-chart.js';
import {
  allReadings,
  channelCurves,
  channelsOf,
  type LevelPart,
  levelChart,
  type ReadingAtPoint,
  readingPoint,
  type StepReadings,
  stepReadings,
} from './step-readings.js';

/** THD+N and power against frequency for every sweep. */
export function sweepCharts(ground: ChartGround): Chart[] {
  const sweeps = stepReadings(ground.record, 'sweep');
  const settings = numbered(
    sweeps.map(
      ({ step, load_ohm, driven }) =>
        `${settingWords(load_ohm, driven)}${requestedWords(ground.record, step)}`,
    ),
  );
  return sweeps.flatMap((sweep, i) => {
    const chart = levelChart(sweep, `sweep-${i + 1}`, FREQUENCY, settings[i]!);
    return [chart('thdn', thdnPart(sweep, ground)), chart('power', powerPart(sweep))];
  });
}

function thdnPart(sweep: StepReadings, { floorAt }: ChartGround): LevelPart {
  const curves = curvesOf(sweep, ({ reading }) => ({
    y: reading.thdn_percent,
    within: reading.thdn_uncertainty_percent,
  }));
  const [low, high] = extremes(sweep, ({ reading }) => reading.thdn_percent);
  const first = byFrequency([...sweep.channels.values()][0]!);
  return {
    what: 'THD+N against frequency',
    y: THDN,
    curves,
    guides: [...floorGuides(first, floorAt, ({ point }) => point.nominal_Hz), ...bandGuides(first)],
    words: [`Highest ${thdnPlace(high)}; lowest ${thdnPlace(low)}.`, ...bandWords(first)].join(' '),
    worst: curves[channelsOf(sweep).indexOf(high.reading.channel)]!,
    chosen: 'with the most THD+N',
  };
}

/** Neighbours between which the upper end of the measuring band jumps from 20 kHz to more: THD+N steps with it. */
function bandChanges(placed: readonly ReadingAtPoint[]): (readonly [ReadingAtPoint, ReadingAtPoint])[] {
  return placed.flatMap((one, i) => {
    const before = placed[i - 1];
    return before && before.reading.band_Hz[1] <= USUAL_BAND_Hz && one.reading.band_Hz[1] > USUAL_BAND_Hz
      ? [[before, one] as const]
      : [];
  });
}

/** Upper end of the measuring band of low tones (AES17 leaves it at 20 kHz). */
const USUAL_BAND_Hz = 20_000;

const bandGuides = (placed: readonly ReadingAtPoint[]): Guide[] =>
  bandChanges(placed).map(([below, above]) => ({
    name: 'wider band',
    look: 'trend',
    at: { x: Math.sqrt(below.point.nominal_Hz * above.point.nominal_Hz) },
  }));

const bandWords = (placed: readonly ReadingAtPoint[]): string[] =>
  bandChanges(placed).map(
    ([, above]) =>
      `From ${nominal(above)} on the measuring band reaches beyond 20 kHz, so THD+N counts more harmonics.`,
  );

function powerPart(sweep: StepReadings): LevelPart {
  const curves = curvesOf(sweep, ({ reading }) => ({ y: reading.power_W, within: reading.uncertainty_W }));
  const [low, high] = extremes(sweep, ({ reading }) => reading.power_W);
  const loss_dB = decibelsOfPower(high.reading.power_W / low.reading.power_W);
  return {
    what: 'Power against frequency',
    y: POWER_UP,
    curves,
    words: `Lowest ${powerPlace(low)}: ${loss_dB.toFixed(2)} dB below the highest, ${powerPlace(high)}.`,
    worst: curves[channelsOf(sweep).indexOf(low.reading.channel)]!,
    chosen: 'with the lowest power',
  };
}

const byFrequency = (placed: readonly ReadingAtPoint[]): ReadingAtPoint[] =>
  placed.toSorted((a, b) => a.point.nominal_Hz - b.point.nominal_Hz);

const curvesOf = (
  sweep: StepReadings,
  up: (placed: ReadingAtPoint) => { readonly y: number; readonly within: number | null },
): Curve[] =>
  channelCurves(sweep, (placed) =>
    byFrequency(placed).map((one) =>
      readingPoint(one, { x: one.point.nominal_Hz, ...up(one) }, nominal(one)),
    ),
  );

function extremes(
  sweep: StepReadings,
  value: (placed: ReadingAtPoint) => number,
): readonly [ReadingAtPoint, ReadingAtPoint] {
  const sorted = allReadings(sweep).sort((a, b) => value(a) - value(b));
  return [sorted[0]!, sorted.at(-1)!];
}

const nominal = ({ point }: ReadingAtPoint): string => frequencyWords(point.nominal_Hz);

const thdnPlace = (placed: ReadingAtPoint): string =>
  `${formatQuantity(placed.reading.thdn_percent, '%')} at ${nominal(placed)} (channel ${placed.reading.channel})`;

const powerPlace = (placed: ReadingAtPoint): string =>
  `${formatQuantity(placed.reading.power_W, 'W')} at ${nominal(placed)} (channel ${placed.reading.channel})`;

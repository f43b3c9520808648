import { decibelsOfPower } from '../../../units/decibel.js';
import { formatQuantity } from '../../../units/format.js';
import { frequencyWords } from '../../../units/nominal-frequency.js';
import type { Chart, Curve, Guide } from '../block.js';
import { numbered } from '../numbered.js';
import { requestedWords, settingWords } from '../wording.js';
import { type ChartGround, FREQUENCY, POWER_UP, THDN } from './chart-ground.js';
import { floorGuides } from './climb-chart.js';
import {
  allReadings,
  channelCurves,
  channelsOf,
  type ReadingAtPoint,
  readingPoint,
  type StepReadings,
  stepReadings,
  subjectOf,
} from './step-readings.js';

/** THD+N and power against frequency for every sweep. */
export const sweepCharts = (ground: ChartGround): Chart[] =>
  settingsOf(ground).flatMap(({ sweep, setting }, i) => {
    const common = { x: FREQUENCY, marks: [] };
    const chart = (name: string, part: Part) => ({
      ...common,
      id: `sweep-${i + 1}-${name}`,
      title: `${part.subject.what}: ${setting}`,
      ...part,
    });
    return [chart('thdn', thdnChart(sweep, ground)), chart('power', powerChart(sweep))];
  });

function settingsOf({ record }: ChartGround): { sweep: StepReadings; setting: string }[] {
  const sweeps = stepReadings(record, 'sweep');
  const settings = numbered(
    sweeps.map(
      ({ step, load_ohm, driven }) => `${settingWords(load_ohm, driven)}${requestedWords(record, step)}`,
    ),
  );
  return sweeps.map((sweep, i) => ({ sweep, setting: settings[i]! }));
}

type Part = Pick<Chart, 'y' | 'curves' | 'guides' | 'words'> & Required<Pick<Chart, 'subject'>>;

function thdnChart(sweep: StepReadings, { floorAt }: ChartGround): Part {
  const curves = curvesOf(sweep, ({ reading }) => ({
    y: reading.thdn_percent,
    within: reading.thdn_uncertainty_percent,
  }));
  const [low, high] = extremes(sweep, ({ reading }) => reading.thdn_percent);
  const first = [...sweep.channels.values()][0]!;
  return {
    y: THDN,
    curves,
    guides: [
      ...floorGuides(byFrequency(first), floorAt, ({ point }) => point.nominal_Hz),
      ...bandGuides(byFrequency(first)),
    ],
    words: [`Highest ${thdnPlace(high)}; lowest ${thdnPlace(low)}.`, ...bandWords(byFrequency(first))].join(
      ' ',
    ),
    subject: {
      ...subjectOf(sweep, true),
      what: 'THD+N against frequency',
      worst: curves[channelsOf(sweep).indexOf(high.reading.channel)]!,
      chosen: 'Of each run only the channel with the most THD+N is drawn.',
    },
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

function powerChart(sweep: StepReadings): Part {
  const curves = curvesOf(sweep, ({ reading }) => ({ y: reading.power_W, within: reading.uncertainty_W }));
  const [low, high] = extremes(sweep, ({ reading }) => reading.power_W);
  const loss_dB = decibelsOfPower(high.reading.power_W / low.reading.power_W);
  return {
    y: POWER_UP,
    curves,
    guides: [],
    words: `Lowest ${powerPlace(low)}: ${loss_dB.toFixed(2)} dB below the highest, ${powerPlace(high)}.`,
    subject: {
      ...subjectOf(sweep, true),
      what: 'Power against frequency',
      worst: curves[channelsOf(sweep).indexOf(low.reading.channel)]!,
      chosen: 'Of each run only the channel with the lowest power is drawn.',
    },
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

import { riseOf, trendOf } from '../../../measure/trend.js';
import { type Finding, numberOf } from '../../../record/finding.js';
import { formatQuantity } from '../../../units/format.js';
import { formatUncertain } from '../../../units/format-uncertain.js';
import { spanned } from '../../../units/listed.js';
import { typeset } from '../../html/typeset.js';
import type { Chart, Curve, Guide, Mark, Position } from '../block.js';
import { claimMarks } from '../claim-marks.js';
import { channelWords, numbered, settingWords } from '../wording.js';
import { type ChartGround, POWER_ACROSS, THDN } from './chart-ground.js';
import {
  allReadings,
  channelsOf,
  type ReadingAtPoint,
  readingPoint,
  type StepReadings,
  stepReadings,
  subjectOf,
} from './step-readings.js';

/** A knee that is known no better than this share of itself is none that a reader could go by. */
const CLEAR_SHARE = 0.5;
/** Places that the trend is drawn through. */
const TREND_PLACES = 40;
/** More climbs than this stand side by side. */
const FEW_CLIMBS = 2;

/** THD+N against power for every climb: limits and where they are reached, knee and trend, claims, residual of the bench. */
export function climbCharts(ground: ChartGround): Chart[] {
  const climbs = stepReadings(ground.record, 'climb');
  const settings = numbered(
    climbs.map(({ load_ohm, driven, band_Hz }) => settingWords(load_ohm, driven, band_Hz[0])),
  );
  return climbs.map((climb, i) => ({
    ...climbChart(ground, climb, `climb-${i + 1}`),
    title: `THD+N against power: ${settings[i]}`,
    wide: climbs.length <= FEW_CLIMBS,
  }));
}

/** One channel of a climb, with what was found on it. */
interface Channel {
  readonly ink: number;
  readonly channel: number;
  /** By rising power. */
  readonly placed: readonly ReadingAtPoint[];
  readonly limits: readonly Finding[];
  readonly knee: Finding | null;
  readonly plateau: Finding | null;
}

function climbChart({ record, judged, floorAt }: ChartGround, climb: StepReadings, id: string): Chart {
  const { load_ohm, driven, band_Hz } = climb;
  const channels = channelsOf(climb).map((channel, ink) => channelOf(climb, channel, ink));
  const weakest = channels.reduce((worst, one) => (lowestPower(one) < lowestPower(worst) ? one : worst));
  const curves = channels.map(curveOf);
  const thresholds = [...new Set(channels.flatMap(({ limits }) => limits.map(thresholdOf)))];
  const claims = claimMarks(record, judged, {
    load_ohm,
    driven,
    limit_percent: null,
    frequency_Hz: band_Hz[0],
  });
  return {
    id,
    title: '',
    x: POWER_ACROSS,
    y: THDN,
    curves,
    guides: [
      ...thresholds.map((y): Guide => ({ name: formatQuantity(y, '%'), look: 'limit', at: { y } })),
      ...claims.map(({ power_W, words }): Guide => ({ name: words, look: 'claim', at: { x: power_W } })),
      ...floorGuides(weakest.placed, floorAt, ({ reading }) => reading.power_W),
      ...trendGuides(weakest),
    ],
    marks: channels.flatMap((channel) => [
      ...limitMarks(channel, channel === weakest),
      ...kneeMarks(channel, channel === weakest),
    ]),
    words: climbWords(climb, channels, weakest),
    subject: {
      ...subjectOf(climb, false),
      what: 'THD+N against power',
      worst: curves[weakest.ink]!,
      chosen: 'Of each run only the channel that distorts first is drawn.',
    },
  };
}

function channelOf({ channels, findings }: StepReadings, channel: number, ink: number): Channel {
  const own = findings.filter(({ setting }) => setting.channel === channel);
  const first = (quantity: Finding['quantity']) =>
    own.find((finding) => finding.quantity === quantity) ?? null;
  const knee = first('knee-power');
  return {
    ink,
    channel,
    placed: channels.get(channel)!.toSorted((a, b) => a.reading.power_W - b.reading.power_W),
    limits: own.filter(({ quantity }) => quantity === 'max-power'),
    knee: knee !== null && isClear(knee) ? knee : null,
    plateau: first('plateau-thdn'),
  };
}

const isClear = (knee: Finding): boolean =>
  numberOf(knee) !== null && (knee.uncertainty ?? 0) <= CLEAR_SHARE * numberOf(knee)!;

const thresholdOf = ({ terms }: Finding): number => terms.threshold_percent ?? Number.NaN;

/** What a channel gives at the strictest limit that it reaches. */
function lowestPower({ limits, placed }: Channel): number {
  const found = limits.flatMap((finding) => numberOf(finding) ?? []);
  return found.length > 0 ? Math.min(...found) : (placed.at(-1)?.reading.power_W ?? 0) * 1e6;
}

const curveOf = ({ channel, placed }: Channel): Curve => ({
  name: `channel ${channel}`,
  sign: String(channel % 10),
  uncertainty: 'band',
  points: placed.map((one) => {
    const { power_W, thdn_percent, thdn_uncertainty_percent } = one.reading;
    return readingPoint(one, { x: power_W, y: thdn_percent, within: thdn_uncertainty_percent });
  }),
});

/** The THD+N of the bench by itself below readings. */
export function floorGuides(
  placed: readonly ReadingAtPoint[],
  floorAt: ChartGround['floorAt'],
  along: (placed: ReadingAtPoint) => number,
): Guide[] {
  const through = placed.flatMap((one): Position[] => {
    const percent = floorAt(one.reading);
    return percent === null ? [] : [[along(one), percent]];
  });
  return through.length === 0 ? [] : [{ name: 'residual of the bench', look: 'floor', at: { through } }];
}

/** Rings where limits are reached. Only the weakest channel has words, or they would collide. */
const limitMarks = ({ channel, limits, ink }: Channel, worded: boolean): Mark[] =>
  limits.flatMap((finding): Mark[] => {
    const power_W = numberOf(finding);
    if (power_W === null || finding.bound !== 'found') return [];
    const percent = thresholdOf(finding);
    const power = formatUncertain(power_W, finding.uncertainty, 'W');
    return [
      {
        x: power_W,
        y: percent,
        shape: 'ring',
        label: worded ? [formatQuantity(power_W, 'W')] : [],
        hint: typeset(`channel ${channel}: ${power} at ${formatQuantity(percent, '%')} THD+N`),
        ink,
        within: finding.uncertainty,
      },
    ];
  });

function kneeMarks({ channel, knee, plateau, placed, ink }: Channel, worded: boolean): Mark[] {
  if (knee === null) return [];
  const power_W = numberOf(knee)!;
  const y = thdnAt(placed, power_W);
  const label = [`knee ${formatQuantity(power_W, 'W')}`, ...plateauWords(plateau)];
  const hint = typeset(`channel ${channel}: knee ${formatUncertain(power_W, knee.uncertainty, 'W')}`);
  return Number.isFinite(y)
    ? [{ x: power_W, y, shape: 'diamond', label: worded ? label : [], hint, ink }]
    : [];
}

/** Where a curve passes a power: drawn between its two neighbours as the eye sees it. */
function thdnAt(placed: readonly ReadingAtPoint[], power_W: number): number {
  const above = placed.findIndex(({ reading }) => reading.power_W >= power_W);
  if (above <= 0) return placed.at(above)?.reading.thdn_percent ?? Number.NaN;
  const [low, high] = [placed[above - 1]!.reading, placed[above]!.reading];
  const share = Math.log(power_W / low.power_W) / Math.log(high.power_W / low.power_W);
  return low.thdn_percent * (high.thdn_percent / low.thdn_percent) ** share;
}

/** The trend of the lower levels, continued to the knee: there THD+N reaches twice its height. */
function trendGuides({ knee, placed }: Channel): Guide[] {
  const taken = placed.map(({ reading }) => reading).sort((a, b) => a.point - b.point);
  const trend = trendOf(riseOf(taken, ({ power_W }) => power_W));
  if (knee === null || !trend) return [];
  const decades = Math.log10(numberOf(knee)! / trend.from_W);
  const through = Array.from({ length: TREND_PLACES + 1 }, (_, i): Position => {
    const power_W = trend.from_W * 10 ** ((decades * i) / TREND_PLACES);
    return [power_W, trend.at(power_W)];
  });
  return [{ name: '', look: 'trend', at: { through } }];
}

/** `plateau 0.0015 %, harmonics`: how low the flat part lies, and what governs it. */
function plateauWords(plateau: Finding | null): string[] {
  const level = plateau && numberOf(plateau);
  if (level === null) return [];
  const governed = plateau?.terms.governed_by;
  return [`plateau ${formatQuantity(level, '%')}${governed === undefined ? '' : `, ${governed}`}`];
}

/** The curve in words, for those who cannot see it: its ends, its lowest, where the limits are reached, its knee. */
function climbWords(climb: StepReadings, channels: readonly Channel[], weakest: Channel): string {
  const readings = allReadings(climb).map(({ reading }) => reading);
  const byPower = readings.toSorted((a, b) => a.power_W - b.power_W);
  const lowest = readings.reduce((best, one) => (one.thdn_percent < best.thdn_percent ? one : best));
  const from = formatQuantity(byPower[0]!.power_W, 'W');
  const to = formatQuantity(byPower.at(-1)!.power_W, 'W');
  const limits = channels.flatMap((channel) => channel.limits);
  const reached = [...new Set(limits.map(thresholdOf))].map((percent) => limitWords(limits, percent));
  const rings = limits.some((limit) => limit.bound === 'found' && numberOf(limit) !== null) ? ' (rings)' : '';
  return [
    `${channelWords(channelsOf(climb))}, ${from} to ${to}.`.replace(/^c/, 'C'),
    `Lowest THD+N: ${formatQuantity(lowest.thdn_percent, '%')} at ${formatQuantity(lowest.power_W, 'W')}.`,
    ...(reached.length === 0 ? [] : [`${reached.join('; ')}${rings}.`]),
    ...kneeWords(weakest),
  ].join(' ');
}

function limitWords(limits: readonly Finding[], percent: number): string {
  const own = limits.filter((limit) => thresholdOf(limit) === percent);
  const powers = own.flatMap((limit) => (limit.bound === 'found' ? (numberOf(limit) ?? []) : []));
  if (powers.length === 0) return `${formatQuantity(percent, '%')} is not reached`;
  const span = spanned(powers, (power_W) => formatQuantity(power_W, 'W'));
  return `${formatQuantity(percent, '%')} is reached at ${span}`;
}

function kneeWords({ channel, knee, plateau }: Channel): string[] {
  if (knee === null) return [];
  const flat = plateauWords(plateau).map(
    (words) => `, end of the ${words.replace(/, (\w+)$/, ' governed by $1')}`,
  );
  const trend = flat.length === 0 ? '' : ' Dotted: trend of the lower levels, continued to the knee.';
  return [
    `Knee of channel ${channel} (diamond): ${formatQuantity(numberOf(knee)!, 'W')}${flat.join('')}.${trend}`,
  ];
}

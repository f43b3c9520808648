import { flatPart } from '../../../measure/knee.js';
import { type Finding, numberOf } from '../../../record/finding.js';
import { formatQuantity } from '../../../units/format.js';
import { formatUncertain } from '../../../units/format-uncertain.js';
import { typeset } from '../../html/typeset.js';
import { visibleText } from '../../text/visible-text.js';
import type { Chart, Curve, Guide, Mark, Place } from '../block.js';
import { claimedPowers } from '../claimed-powers.js';
import type { FigureGround, FloorAt } from '../figure-ground.js';
import { channelWords, settingWords } from '../wording.js';
import { POWER_ACROSS, THDN } from './axes.js';
import { readingPoint } from './reading-point.js';
import {
  allReadings,
  channelsOf,
  type PlacedReading,
  type StepReadings,
  stepReadings,
} from './step-readings.js';

/** A knee that is known no better than this share of itself is none that a reader could go by. */
const CLEAR_SHARE = 0.5;
/** Fewer readings give no trend: the line is level. */
const LEAST_TREND = 3;
/** More climbs than this stand side by side. */
const FEW_CLIMBS = 2;

/** THD+N against power for every climb: limits and where they are reached, knee and trend, claims, residual of the bench. */
export function climbCharts(ground: FigureGround): Chart[] {
  const climbs = stepReadings(ground.record, 'climb');
  return climbs.map((climb, i) => ({
    ...climbChart(ground, climb, `climb-${i + 1}`),
    title: `THD+N against power: ${nameOf(climb, climbs)}`,
    wide: climbs.length <= FEW_CLIMBS,
  }));
}

/** The setting of a climb, with its step where another one has the same setting. */
function nameOf(climb: StepReadings, climbs: readonly StepReadings[]): string {
  const words = ({ load_ohm, driven, band_Hz }: StepReadings) => settingWords(load_ohm, driven, band_Hz[0]);
  const alike = climbs.filter((one) => words(one) === words(climb));
  return alike.length > 1 ? `${visibleText(climb.step)}, ${words(climb)}` : words(climb);
}

/** One channel of a climb, with what was found on it. */
interface Channel {
  readonly ink: number;
  readonly channel: number;
  /** By rising power. */
  readonly placed: readonly PlacedReading[];
  readonly limits: readonly Finding[];
  readonly knee: Finding | null;
  readonly plateau: Finding | null;
}

function climbChart({ record, judged, floorAt }: FigureGround, climb: StepReadings, id: string): Chart {
  const { step, load_ohm, driven, mains_V, band_Hz } = climb;
  const channels = channelsOf(climb).map((channel, ink) => channelOf(climb, channel, ink));
  const weakest = channels.reduce((worst, one) => (lowestPower(one) < lowestPower(worst) ? one : worst));
  const curves = channels.map(curveOf);
  const thresholds = [...new Set(channels.flatMap(({ limits }) => limits.map(thresholdOf)))];
  const claims = claimedPowers(record, judged, { load_ohm, driven, limit_percent: null, frequency_Hz: band_Hz[0] });
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
      what: 'THD+N against power',
      step,
      driven,
      load_ohm,
      mains_V,
      band_Hz,
      threshold_percent: null,
      worst: curves[weakest.ink]!,
      chosen: 'Of each run only the channel that distorts first is drawn.',
    },
  };
}

function channelOf({ channels, findings }: StepReadings, channel: number, ink: number): Channel {
  const own = findings.filter(({ setting }) => setting.channel === channel);
  const first = (quantity: Finding['quantity']) => own.find((finding) => finding.quantity === quantity) ?? null;
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
  placed: readonly PlacedReading[],
  floorAt: FloorAt,
  along: (placed: PlacedReading) => number,
): Guide[] {
  const through = placed.flatMap((one): Place[] => {
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
  return Number.isFinite(y) ? [{ x: power_W, y, shape: 'diamond', label: worded ? label : [], hint, ink }] : [];
}

/** Where a curve passes a power: drawn between its two neighbours as the eye sees it. */
function thdnAt(placed: readonly PlacedReading[], power_W: number): number {
  const above = placed.findIndex(({ reading }) => reading.power_W >= power_W);
  if (above <= 0) return placed.at(above)?.reading.thdn_percent ?? Number.NaN;
  const [low, high] = [placed[above - 1]!.reading, placed[above]!.reading];
  const share = Math.log(power_W / low.power_W) / Math.log(high.power_W / low.power_W);
  return low.thdn_percent * (high.thdn_percent / low.thdn_percent) ** share;
}

/**
 * The trend of the flat part, from its first reading up to the knee, where its height is the plateau's. A straight line
 * fitted by least squares goes through the mean of what it was fitted to, which with the knee gives all of it.
 */
function trendGuides({ knee, plateau, placed }: Channel): Guide[] {
  const level = plateau && numberOf(plateau);
  if (knee === null || level === null) return [];
  const readings = placed.map(({ reading }) => reading);
  const flat = flatPart(readings.filter(({ power_W, thdn_percent }) => power_W > 0 && thdn_percent > 0));
  if (flat.length === 0) return [];
  const [x, y] = [Math.log10(numberOf(knee)!), Math.log10(level)];
  const xs = flat.map(({ power_W }) => Math.log10(power_W));
  const ys = flat.map(({ thdn_percent }) => Math.log10(thdn_percent));
  const slope = flat.length < LEAST_TREND ? 0 : (y - mean(ys)) / (x - mean(xs));
  const from: Place = [10 ** xs[0]!, 10 ** (y + slope * (xs[0]! - x))];
  return [{ name: '', look: 'trend', at: { through: [from, [10 ** x, level]] } }];
}

const mean = (values: readonly number[]): number =>
  values.reduce((sum, value) => sum + value, 0) / values.length;

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
  const [low, high] = [Math.min(...powers), Math.max(...powers)].map((power_W) => formatQuantity(power_W, 'W'));
  return `${formatQuantity(percent, '%')} is reached at ${low === high ? low : `${low} to ${high}`}`;
}

function kneeWords({ channel, knee, plateau }: Channel): string[] {
  if (knee === null) return [];
  const flat = plateauWords(plateau).map((words) => `, end of the ${words.replace(/, (\w+)$/, ' governed by $1')}`);
  const trend = flat.length === 0 ? '' : ' Dotted: low-level trend, extended to the knee.';
  return [
    `Knee of channel ${channel} (diamond): ${formatQuantity(numberOf(knee)!, 'W')}${flat.join('')}.${trend}`,
  ];
}

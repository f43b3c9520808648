import { decibelsOfPower } from '../units/decibel.js';
import { byPower, type CurvePoint, lastCrossing } from './crossing.js';

/** A point of a climb, with what of its distortion is noise. */
export interface KneePoint extends CurvePoint {
  /** Noise relative to the total, percent. */
  readonly noise_percent: number;
}

/** Where a climb's curve leaves its flat part. */
export interface Knee {
  /** Power at which the flat and the steep part meet; null when the curve has no two such parts. */
  readonly power_W: number | null;
  /** THD+N of the flat part at the knee, or the lowest reading when there is no knee; null without readings. */
  readonly plateau_percent: number | null;
  readonly governed_by: 'noise' | 'harmonics' | null;
  /** Decibels of power between 0.1 % and 1 %; null when either is missing. */
  readonly hardness_dB: number | null;
  /** Why there is no knee; empty when there is one. */
  readonly note: string;
  /** How well the knee is known; null when there is none. */
  readonly fit: KneeFit | null;
}

/** How well two lines fix the power where they meet. */
export interface KneeFit {
  /** Share by which THD+N grows for a share of power, steep part less flat part: d ln D / d ln P. */
  readonly steepness: number;
  /** Standard uncertainty of the height of each line at the knee, as a share of THD+N; null: too few points to tell. */
  readonly flat: Spread | null;
  readonly steep: Spread | null;
  /**
   * Share of the power from here to the further of the first steep reading and the one before it: the curve bends
   * between them.
   */
  readonly gap: number;
}

export interface Spread {
  readonly standard: number;
  readonly freedom: number;
}

/** The flat part: readings up to this factor above the lowest, over at most this range of power below it. */
const FLAT_FACTOR = 1.5;
const FLAT_RANGE = 10;
/** The steep part: the rise after the lowest reading, between these factors above it. */
const STEEP_FROM = 3;
const STEEP_TO = 30;
/** Beyond this THD+N the clipping itself bends the curve over. */
const STEEP_MOST_PERCENT = 3;
/** A rise slower than THD+N in proportion to power is no knee but low-order curvature. */
const LEAST_STEEPNESS = 1;

/**
 * Knee of a curve of THD+N against power: straight lines through the flat and the steep part, in log
 * against log, and the power where they meet.
 *
 * The last of the lowest readings divides the two. Flat are readings before it within a decade of power
 * and a factor of 1.5; steep are readings after it from 3 to 30 times as high (or else
 * the first two from 3 times up), at most 3 %.
 *
 * @param points in any order
 */
export function kneeOf(points: readonly KneePoint[]): Knee {
  const rising = byPower(points).filter(({ thdn_percent }) => thdn_percent > 0);
  const lowest = lowestIndex(rising);
  const floor = rising[lowest];
  const hardness_dB = hardness(rising);
  if (!floor) return { ...NOTHING, hardness_dB, note: 'there are no readings' };
  const flat = flatPart(rising);
  const governed_by = governor(flat);
  const none = { power_W: null, plateau_percent: floor.thdn_percent, governed_by, hardness_dB, fit: null };
  const steep = steepPart(rising, lowest);
  if (steep.length < 2) return { ...none, note: 'THD+N does not rise far enough above its lowest value' };
  const rise = lineThrough(steep);
  if (rise.slope < LEAST_STEEPNESS) return { ...none, note: 'THD+N rises too slowly for a knee' };
  const plateau = plateauThrough(flat, floor);
  const meet = (plateau.at - rise.at) / (rise.slope - plateau.slope);
  return {
    power_W: Math.exp(meet),
    plateau_percent: Math.exp(plateau.at + plateau.slope * meet),
    governed_by,
    hardness_dB,
    note: '',
    fit: {
      steepness: rise.slope - plateau.slope,
      flat: spreadAt(flat, plateau, meet),
      steep: spreadAt(steep, rise, meet),
      gap: Math.max(
        ...[lastBefore(rising, steep[0]!), steep[0]!].map(({ power_W }) =>
          Math.abs(power_W / Math.exp(meet) - 1),
        ),
      ),
    },
  };
}

/** The readings of the flat part, out of those of a climb by rising power. */
export function flatPart<P extends CurvePoint>(rising: readonly P[]): P[] {
  const lowest = lowestIndex(rising);
  const floor = rising[lowest];
  if (!floor) return [];
  return rising.filter(
    ({ power_W, thdn_percent }, i) =>
      i <= lowest &&
      power_W >= floor.power_W / FLAT_RANGE &&
      thdn_percent <= FLAT_FACTOR * floor.thdn_percent,
  );
}

/** The reading before the first steep one. THD+N may have crept up a little by then, but has not bent yet. */
function lastBefore(rising: readonly KneePoint[], steep: KneePoint): KneePoint {
  return rising[Math.max(0, rising.indexOf(steep) - 1)]!;
}

const NOTHING = { power_W: null, plateau_percent: null, governed_by: null, fit: null } as const;

/** Noise makes the flat part fall, never rise: a rising fit has caught the beginning of the bend. */
function plateauThrough(flat: readonly KneePoint[], floor: KneePoint): Line {
  if (flat.length < 3) return { slope: 0, at: Math.log(floor.thdn_percent), fitted: 1 };
  const line = lineThrough(flat);
  return line.slope > 0 ? { slope: 0, at: meanLog(flat), fitted: 1 } : line;
}

/**
 * Standard uncertainty of a line's height from the scatter of its points, by ordinary regression: s^2 (1/n + (x - mean)^2
 * / sum of squares) with n less the fitted figures as degrees of freedom (textbook formula, from memory).
 */
function spreadAt(points: readonly KneePoint[], { slope, at, fitted }: Line, x: number): Spread | null {
  const freedom = points.length - fitted;
  if (freedom < 1) return null;
  const xs = points.map(({ power_W }) => Math.log(power_W));
  const mean = xs.reduce((sum, one) => sum + one, 0) / xs.length;
  const squares = xs.reduce((sum, one) => sum + (one - mean) ** 2, 0);
  const scatter = points.reduce(
    (sum, { thdn_percent }, i) => sum + (Math.log(thdn_percent) - at - slope * xs[i]!) ** 2,
    0,
  );
  const tilt = fitted === 2 && squares > 0 ? (x - mean) ** 2 / squares : 0;
  return { standard: Math.sqrt((scatter / freedom) * (1 / points.length + tilt)), freedom };
}

function lowestIndex(rising: readonly CurvePoint[]): number {
  let lowest = 0;
  rising.forEach(({ thdn_percent }, i) => {
    if (thdn_percent <= rising[lowest]!.thdn_percent) lowest = i;
  });
  return lowest;
}

function steepPart(rising: readonly KneePoint[], lowest: number): KneePoint[] {
  const floor = rising[lowest]!.thdn_percent;
  const rise = rising.filter(
    ({ thdn_percent }, i) =>
      i > lowest && thdn_percent >= STEEP_FROM * floor && thdn_percent <= STEEP_MOST_PERCENT,
  );
  const near = rise.filter(({ thdn_percent }) => thdn_percent <= STEEP_TO * floor);
  return near.length >= 2 ? near : rise.slice(0, 2);
}

function hardness(rising: readonly KneePoint[]): number | null {
  const [first, last] = [lastCrossing(rising, 0.1), lastCrossing(rising, 1)];
  return first && last ? decibelsOfPower(last.power_W / first.power_W) : null;
}

/** Whether noise or harmonics make up the greater part of the power in the flat part's residue. */
function governor(flat: readonly KneePoint[]): 'noise' | 'harmonics' {
  const share = flat.reduce((sum, p) => sum + (p.noise_percent / p.thdn_percent) ** 2, 0) / flat.length;
  return share >= 0.5 ? 'noise' : 'harmonics';
}

function meanLog(points: readonly KneePoint[]): number {
  return points.reduce((sum, { thdn_percent }) => sum + Math.log(thdn_percent), 0) / points.length;
}

/** A line of log THD+N over log power; `at` is its height at 1 W, `fitted` how many figures were taken from the points. */
interface Line {
  readonly slope: number;
  readonly at: number;
  readonly fitted: 1 | 2;
}

/** Least-squares line of log THD+N over log power. */
function lineThrough(points: readonly KneePoint[]): Line {
  const meanX = points.reduce((sum, { power_W }) => sum + Math.log(power_W), 0) / points.length;
  const meanY = meanLog(points);
  let [product, squares] = [0, 0];
  for (const { power_W, thdn_percent } of points) {
    const x = Math.log(power_W) - meanX;
    product += x * (Math.log(thdn_percent) - meanY);
    squares += x * x;
  }
  const slope = squares > 0 ? product / squares : Number.POSITIVE_INFINITY;
  return { slope, at: meanY - slope * meanX, fitted: 2 };
}

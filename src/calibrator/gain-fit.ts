import type { Contribution } from '../measure/budget.js';
import { type Accuracy, countsLimit, limitOf, rectangular, scatter } from './accuracy.js';

/** A meter's rms volts beside the digital level that they belong to. */
export interface MeterReading {
  /** Digital peak, full scale = 1. */
  readonly peak: number;
  readonly reading_V: number;
}

export interface GainFit {
  /** Peak volts at full scale. */
  readonly fullScale_Vpk: number;
  readonly standing: readonly Contribution[];
  /** Largest departure of a reading from the line, beyond half a count and a constant offset within the meter's counts. */
  readonly linearity_percent: number;
  /** Index of the reading that departs most. */
  readonly worst: number;
}

/**
 * Fits volts = gain x digital level through zero, each reading weighted by the inverse square of the meter's limits.
 *
 * The meter's percents are the same for all readings and are not averaged down. Its counts are taken as one offset
 * common to all readings too: limits of the gain = counts x sum(w x) / sum(w x^2). What scatters about the line, that
 * offset taken out, is type A with as many degrees of freedom as readings less two. Weighted least squares and
 * JCGM 100:2008, 4.2 and F.1.2 (correlated readings; clause numbers from memory).
 *
 * @param readings at least three, at two levels or more
 */
export function fitGain(readings: readonly MeterReading[], accuracy: Accuracy, what: string): GainFit {
  const points = readings.map(({ peak, reading_V }) => ({
    x: peak,
    y: reading_V * Math.SQRT2,
    w: 1 / limitOf(accuracy, reading_V) ** 2,
  }));
  const sum = (term: (point: { x: number; y: number; w: number }) => number) =>
    points.reduce((total, point) => total + point.w * term(point), 0);
  const [xx, xy, x, y, w] = [
    sum((p) => p.x ** 2),
    sum((p) => p.x * p.y),
    sum((p) => p.x),
    sum((p) => p.y),
    sum(() => 1),
  ];
  const gain = xy / xx;
  const most = countsLimit(accuracy) * Math.SQRT2;
  const free = (xx * y - x * xy) / (xx * w - x * x);
  const offset = Math.max(-most, Math.min(most, free));
  const slope = (xy - offset * x) / xx;
  const residues = points.map((point) => point.y - offset - slope * point.x);
  const freedom = readings.length - 2;
  const spread = Math.sqrt(points.reduce((total, { w }, i) => total + w * residues[i]! ** 2, 0) / freedom);
  const halfCount = (accuracy.resolution * Math.SQRT2) / 2;
  const departures = points.map(
    (point, i) => Math.max(0, Math.abs(residues[i]!) - halfCount) / (slope * point.x),
  );
  const linearity = Math.max(...departures);
  return {
    fullScale_Vpk: gain,
    standing: [
      ...rectangular(`${what}: meter, percent of reading`, accuracy.percent),
      ...rectangular(`${what}: meter, counts`, (100 * most * x) / xx / gain),
      ...scatter(`${what}: scatter of the readings`, (100 * spread) / Math.sqrt(xx) / gain, freedom),
    ],
    linearity_percent: 100 * linearity,
    worst: departures.indexOf(linearity),
  };
}

/** A value found at a level. */
export interface Series {
  /** Digital level at which it was found. */
  readonly at: number;
  readonly value: number;
}

export interface Mean {
  readonly value: number;
  /** Experimental standard deviation of the mean (JCGM 100:2008, 4.2.3, clause from memory), percent of it. */
  readonly standard_percent: number;
  readonly freedom: number;
  /** Largest departure of one value from the mean. */
  readonly departure_percent: number;
  readonly worst: Series;
}

/** Mean of a series of two values or more. */
export function meanOf(series: readonly Series[]): Mean {
  const count = series.length;
  const value = series.reduce((total, one) => total + one.value, 0) / count;
  const squares = series.reduce((total, one) => total + (one.value - value) ** 2, 0);
  const departures = series.map((one) => Math.abs(one.value / value - 1));
  const most = Math.max(...departures);
  return {
    value,
    standard_percent: (100 * Math.sqrt(squares / (count - 1) / count)) / value,
    freedom: count - 1,
    departure_percent: 100 * most,
    worst: series[departures.indexOf(most)]!,
  };
}

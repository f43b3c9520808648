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

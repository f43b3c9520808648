/** One direction of a chart of characters. */
export interface TextAxis {
  readonly low: number;
  readonly high: number;
  readonly scale: 'log' | 'linear';
  /** What a value is called beside the axis. */
  readonly name: (value: number) => string;
}

type Name = TextAxis['name'];

/** What the ends of an axis are rounded out to, so that a growing curve does not shift the picture at every point. */
const ROUND = [1, 2, 5] as const;
/** Relative room for rounding errors: an end that is a round number stays where it is. */
const SLACK = 1e-9;

/** Beyond this nothing was measured, whatever it is: no chart makes room for it. */
const SMALLEST = 1e-12;
const LARGEST = 1e12;

/** Whether a value can stand on an axis of decades. */
export const hasPlace = (value: number): boolean => value >= SMALLEST && value <= LARGEST;

/** Round numbers, decade by decade, that hold all of the values between them; a decade apart at least. */
export function logAxis(values: readonly number[], name: Name): TextAxis {
  const high = roundUp(Math.max(...values));
  const low = Math.min(roundDown(Math.min(...values)), high / 10);
  return { low, high, scale: 'log', name };
}

/** From the least value to the most, as they are: for a band whose ends are known beforehand. */
export function bandAxis(values: readonly number[], name: Name): TextAxis {
  const low = Math.min(...values);
  return { low, high: Math.max(...values, 10 * low), scale: 'log', name };
}

/** Round numbers that hold all of the values between them, so that these differ by at least a tenth on the axis. */
export function linearAxis(values: readonly number[], name: Name): TextAxis {
  const [least, most] = [Math.min(...values), Math.max(...values)];
  const span = Math.max(most - least, 0.1 * Math.abs(most), SMALLEST);
  const step = roundUp(span / 4);
  const low = step * Math.floor(least / step + SLACK);
  return { low, high: Math.max(step * Math.ceil(most / step - SLACK), low + step), scale: 'linear', name };
}

/** Where a value stands among `cells` cells, from 0; outside of them when it lies outside of the axis. */
export function placeOn({ low, high, scale }: TextAxis, value: number, cells: number): number {
  const along = scale === 'log' ? Math.log(value / low) / Math.log(high / low) : (value - low) / (high - low);
  return Math.round(along * (cells - 1));
}

/** Round values on an axis, rising, few enough to be told apart. */
export function ticksOn({ low, high, scale }: TextAxis): number[] {
  if (scale === 'linear') {
    const step = roundUp((high - low) / 5);
    const first = Math.ceil(low / step - SLACK);
    const last = Math.floor(high / step + SLACK);
    return Array.from({ length: last - first + 1 }, (_, i) => (first + i) * step);
  }
  const decades = Array.from(
    { length: Math.floor(Math.log10(high)) - Math.floor(Math.log10(low)) + 1 },
    (_, i) => Math.floor(Math.log10(low)) + i,
  );
  const factors = high / low > 101 ? [1] : ROUND;
  return decades
    .flatMap((decade) => factors.map((factor) => factor * 10 ** decade))
    .filter((value) => value >= low * (1 - SLACK) && value <= high * (1 + SLACK));
}

const decadeOf = (value: number): number => 10 ** Math.floor(Math.log10(value));

function roundUp(value: number): number {
  const decade = decadeOf(value);
  return decade * ([...ROUND, 10].find((factor) => value <= factor * decade * (1 + SLACK)) ?? 10);
}

function roundDown(value: number): number {
  const decade = decadeOf(value);
  return decade * (ROUND.findLast((factor) => value >= factor * decade * (1 - SLACK)) ?? 1);
}

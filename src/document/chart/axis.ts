import { formatDuration, formatQuantity } from '../../units/format.js';
import type { Unit } from '../../units/quantity.js';
import type { Axis } from '../model/block.js';

/** An axis with its ends and marks. */
export interface LaidAxis {
  readonly name: string;
  readonly unit: Unit;
  readonly scale: Axis['scale'];
  readonly low: number;
  readonly high: number;
  /** Rising. */
  readonly ticks: readonly Tick[];
  /** Of powers on an axis that holds them closely: the highest, which is 0 dB at the other side; else null. */
  readonly zero_dB: number | null;
}

export interface Tick {
  readonly at: number;
  /** Named first where there is no room for all: the decades of a logarithmic axis, all of a linear one. */
  readonly major: boolean;
}

/** Beyond this nothing was measured, whatever it is: no axis makes room for it. */
const SMALLEST = 1e-12;
const LARGEST = 1e12;
/** What lies further below the greatest value than this leaves a logarithmic axis. */
const MOST_DECADES = 7;
/** Relative room for rounding errors: an end that is a round number stays where it is. */
const SLACK = 1e-9;
/** Share of its length that an axis goes beyond its outermost values when it ends close to them. */
const MARGIN = 0.02;
const LEAST_SPAN = 0.02;
/** Powers closer together than this, as a ratio, would be a level line on an axis from zero. */
const CLOSE = 1.5;
/** A linear axis has about so many steps at most. */
const MOST_STEPS = 7;
/** Steps of a clock, in seconds, from ten seconds to a day. */
const CLOCK_s = [
  10, 20, 30, 60, 120, 300, 600, 1200, 1800, 3600, 7200, 10_800, 21_600, 43_200, 86_400,
] as const;

/**
 * Lays out an axis over values: ends and marks at 1, 2 and 5 of each decade, or at clock times. Without any value that has
 * a place it spans 1 to 10, or 0 to 1.
 */
export function layAxis(axis: Axis, values: readonly number[]): LaidAxis {
  const { name, unit, scale, from, to } = axis;
  const powers = axis.zooms ? values.filter((value) => value > 0 && Number.isFinite(value)) : [];
  const highest = powers.reduce((a, b) => Math.max(a, b), 0);
  const zoomed = highest > 0 && highest / powers.reduce((a, b) => Math.min(a, b), highest) < CLOSE;
  const limits = [from, to, axis.zooms && !zoomed ? 0 : undefined].filter((limit) => limit !== undefined);
  const laid = (scale === 'log' ? logEnds : linearEnds)(axis, [...values, ...limits]);
  return { name, unit, scale, ...laid, zero_dB: zoomed ? highest : null };
}

/** Where a value stands: 0 at the low end of the axis, 1 at the high end; not finite when it has no place. */
export const shareOn = ({ low, high, scale }: LaidAxis, value: number): number =>
  scale === 'log' ? Math.log(value / low) / Math.log(high / low) : (value - low) / (high - low);

/** Whether a value stands between the ends of an axis. */
export function isOn(axis: LaidAxis, value: number): boolean {
  const share = shareOn(axis, value);
  return share >= -SLACK && share <= 1 + SLACK;
}

type Ends = Pick<LaidAxis, 'low' | 'high' | 'ticks'>;

function logEnds({ ends }: Axis, values: readonly number[]): Ends {
  const held = values.filter((value) => value >= SMALLEST && value <= LARGEST);
  const most = held.reduce((a, b) => Math.max(a, b), held[0] ?? 10);
  const least = held.reduce(
    (a, b) => (b >= most / 10 ** MOST_DECADES ? Math.min(a, b) : a),
    held.length === 0 ? 1 : most,
  );
  // A decade at least, with what was found in its middle.
  const decades = Math.log10(most / least);
  const free = 10 ** (Math.max(0, 1 - decades) / 2 + (ends === 'close' ? MARGIN * Math.max(1, decades) : 0));
  const [low, high] = [least / free, most * free];
  const [first, last] = ends === 'close' ? [low, high] : [roundBelow(low), roundAbove(high)];
  return { low: first, high: last, ticks: logTicks(first, last) };
}

function logTicks(low: number, high: number): Tick[] {
  const [first, last] = [Math.floor(Math.log10(low)), Math.ceil(Math.log10(high))];
  return Array.from({ length: last - first + 1 }, (_, i) => first + i)
    .flatMap((decade) => [1, 2, 5].map((lead) => ({ at: clean(lead * 10 ** decade), major: lead === 1 })))
    .filter(({ at }) => at >= low * (1 - SLACK) && at <= high * (1 + SLACK));
}

function linearEnds({ ends, unit, least_span = LEAST_SPAN }: Axis, values: readonly number[]): Ends {
  const held = values.filter(Number.isFinite);
  const least = held.reduce((a, b) => Math.min(a, b), held[0] ?? 0);
  const most = held.reduce((a, b) => Math.max(a, b), held[0] ?? 1);
  const span = Math.max(most - least, least_span * Math.max(Math.abs(most), Math.abs(least)), SMALLEST);
  const step = stepOf(span / MOST_STEPS, unit);
  // A level that stands is to look like one: what is added goes to both sides, but not beyond zero.
  const middle = (least + most) / 2;
  const from = Math.min(least, least >= 0 ? Math.max(0, middle - span / 2) : middle - span / 2);
  const to = Math.max(most, from + span);
  const [low, high] =
    ends === 'close'
      ? [from, to]
      : [step * Math.floor(from / step + SLACK), step * Math.ceil(to / step - SLACK)];
  const first = Math.ceil(low / step - SLACK);
  const count = Math.floor(high / step + SLACK) - first + 1;
  const ticks = Array.from({ length: Math.max(0, count) }, (_, i) => ({
    at: clean((first + i) * step),
    major: true,
  }));
  return { low, high: Math.max(high, low + (ends === 'close' ? SMALLEST : step)), ticks };
}

const stepOf = (size: number, unit: Unit): number =>
  (unit === 's' && size > 5 ? CLOCK_s.find((step) => step >= size * (1 - SLACK)) : undefined) ??
  roundAbove(size);

/** Without the last digits that multiplying left behind. */
const clean = (value: number): number => Number(value.toPrecision(12));

const decadeOf = (value: number): number => 10 ** Math.floor(Math.log10(value) + SLACK);

/** The nearest of 1, 2, 5, 10, 20 ... that is not below, and not above. */
function roundAbove(value: number): number {
  const decade = decadeOf(value);
  return clean(decade * ([1, 2, 5].find((lead) => value <= lead * decade * (1 + SLACK)) ?? 10));
}
function roundBelow(value: number): number {
  const decade = decadeOf(value);
  return clean(decade * ([5, 2].find((lead) => value >= lead * decade * (1 - SLACK)) ?? 1));
}

/** `100 mW`, `2 kHz`, `1 min 30 s`: a mark of an axis by itself. */
export function tickWords(value: number, unit: Unit): string {
  if (unit === 's' && value >= 1) return formatDuration(value);
  return formatQuantity(value, unit, { figures: 4, trim: true });
}

/** `0.1`, `2k`: a mark of an axis whose name carries the unit. Time is spelt out. */
export function tickNumber(value: number, unit: Unit): string {
  if (unit === 's') return tickWords(value, unit);
  if (unit === 'Hz' && value >= 1000) return `${Number((value / 1000).toPrecision(4))}k`;
  return String(Number(value.toPrecision(4))).replace('-', '−');
}

/** A mark with its name, which may be left out for want of room. */
export interface NamedTick {
  readonly at: number;
  readonly name: string;
}

/**
 * The marks of an axis that have room for their names: all of them, else the major ones and the ends, as far as they do
 * not touch.
 *
 * @param place where a value stands, in any unit of length
 * @param extent the length of a name along the axis, with the space that it needs, in the same unit
 */
export function namedTicks(
  { ticks }: LaidAxis,
  name: (value: number) => string,
  place: (value: number) => number,
  extent: (name: string) => number,
): NamedTick[] {
  const all = ticks.map(({ at }) => ({ at, name: name(at) }));
  const touch = (a: NamedTick, b: NamedTick) =>
    Math.abs(place(a.at) - place(b.at)) < (extent(a.name) + extent(b.name)) / 2;
  const apart = (some: readonly NamedTick[]) => {
    const taken: NamedTick[] = [];
    for (const tick of some) if (!taken.some((one) => touch(one, tick))) taken.push(tick);
    return taken;
  };
  if (apart(all).length === all.length) return all;
  const major = all.filter((_, i) => ticks[i]!.major);
  const ends = [all[0], all.at(-1)].filter((tick) => tick !== undefined);
  return apart(major.length > 1 ? [...major, ...ends] : all).sort((a, b) => a.at - b.at);
}

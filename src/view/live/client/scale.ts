import { formatDuration, formatQuantity } from '../../../units/format.js';
import type { Unit } from '../../../units/quantity.js';

export interface Tick {
  readonly at: number;
  /** Empty for a line of the grid without a name. */
  readonly label: string;
}

/** One axis: where a value lies on it, from 0 to 1, and what is written along it. */
export interface Scale {
  place(value: number): number;
  readonly ticks: readonly Tick[];
}

/**
 * A logarithmic axis that holds all `values` above zero and is at least `decades` long, from and to a round value.
 */
export function logScale(values: readonly number[], unit: Unit, decades = 1): Scale {
  const held = values.filter((value) => value > 0 && Number.isFinite(value));
  const least = leastOf(held, 1);
  const most = Math.max(mostOf(held, 1), least);
  const missing = Math.max(0, decades - Math.log10(most / least)) / 2;
  const low = roundBelow(least / 10 ** missing);
  const high = roundAbove(most * 10 ** missing);
  const span = Math.log10(high / low);
  return {
    place: (value) => Math.log10(Math.max(value, low / 10) / low) / span,
    ticks: logTicks(low, high, span, unit),
  };
}

/** A linear axis that holds all `values` with a tenth of their span to spare, at round values. */
export function linearScale(values: readonly number[], unit: Unit, leastSpan = 0): Scale {
  const [least, most] = [leastOf(values, 0), mostOf(values, 1)];
  const span = Math.max(most - least, leastSpan, 1e-9);
  const middle = (least + most) / 2;
  const step = unit === 's' ? timeAbove(span / 5) : roundAbove(span / 5);
  const low = Math.floor((middle - span / 2) / step + 1e-9) * step;
  const high = Math.max(low + step, Math.ceil((middle + span / 2) / step - 1e-9) * step);
  const count = Math.round((high - low) / step);
  const label = (at: number): string => {
    if (unit === 's' && step >= 1) return formatDuration(at);
    return formatQuantity(Math.abs(at) < step / 1e6 ? 0 : at, unit, { figures: 4, trim: true });
  };
  const ticks = Array.from({ length: count + 1 }, (_, i) => ({
    at: low + i * step,
    label: label(low + i * step),
  }));
  return { place: (value) => (value - low) / (high - low), ticks };
}

// A spread of thousands of values as arguments may be more than an engine takes.
const leastOf = (values: readonly number[], none: number): number =>
  values.length === 0 ? none : values.reduce((least, value) => Math.min(least, value));
const mostOf = (values: readonly number[], none: number): number =>
  values.length === 0 ? none : values.reduce((most, value) => Math.max(most, value));

/** The nearest of 1, 2, 5, 10, 20 ... that is not above, or not below. */
function roundBelow(value: number): number {
  const decade = 10 ** Math.floor(Math.log10(value) + 1e-9);
  return decade * ([5, 2].find((lead) => value / decade >= lead * (1 - 1e-9)) ?? 1);
}
function roundAbove(value: number): number {
  const decade = 10 ** Math.floor(Math.log10(value) + 1e-9);
  return decade * ([1, 2, 5].find((lead) => value / decade <= lead * (1 + 1e-9)) ?? 10);
}

/** Steps of a clock, in seconds, from ten seconds to a day. */
const CLOCK_s = [
  10, 15, 20, 30, 60, 120, 300, 600, 900, 1200, 1800, 3600, 7200, 10_800, 21_600, 43_200, 86_400,
];

const timeAbove = (seconds: number): number =>
  (seconds > 5 ? CLOCK_s.find((step) => step >= seconds * (1 - 1e-9)) : undefined) ?? roundAbove(seconds);

function logTicks(low: number, high: number, span: number, unit: Unit): Tick[] {
  const named = span > 3 ? [1] : span > 1.5 ? [1, 2, 5] : [1, 2, 3, 5, 7];
  const ticks: Tick[] = [];
  const first = Math.floor(Math.log10(low) + 1e-9);
  for (let decade = first; 10 ** decade <= high * (1 + 1e-9); decade++)
    for (let lead = 1; lead < 10; lead++) {
      const at = lead * 10 ** decade;
      if (at < low * (1 - 1e-9) || at > high * (1 + 1e-9)) continue;
      const label = named.includes(lead) ? formatQuantity(at, unit, { figures: 3, trim: true }) : '';
      ticks.push({ at, label });
    }
  return ticks;
}

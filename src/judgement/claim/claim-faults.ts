import { formatQuantity } from '../../units/format.js';
import type { Unit } from '../../units/quantity.js';
import type { ClaimTerms } from './claim.js';

/** What cannot be true of a claim, and the term that says it. */
export interface TermFault {
  readonly term: keyof ClaimTerms;
  readonly what: string;
  readonly mend: string;
}

interface Limits {
  readonly term: keyof ClaimTerms;
  readonly values: (terms: ClaimTerms) => readonly (number | null | undefined)[];
  readonly unit: Unit;
  readonly least: number;
  readonly most: number;
  /** The fault, in front of the value. */
  readonly wrong: string;
}

/** Beyond these a figure is a slip and not a rating: common practice, no source. */
const LIMITS: readonly Limits[] = [
  limits('power_W', ({ power_W }) => [power_W], 'W', [1e-3, 1e5], 'no amplifier has a power of'),
  limits('from_W', ({ from_W }) => [from_W], 'W', [1e-6, 1e5], 'no amplifier has a lowest power of'),
  limits('load_ohm', ({ load_ohm }) => [load_ohm], 'ohm', [0.1, 1e4], 'no amplifier has a load of'),
  limits(
    'distortion_percent',
    (terms) => [terms.distortion_percent],
    '%',
    [1e-5, 100],
    'no amplifier has a distortion of',
  ),
  limits(
    'duration_s',
    ({ duration_s }) => [duration_s],
    's',
    [1e-3, 30 * 86_400],
    'no amplifier has a duration of',
  ),
  limits('burst_s', ({ burst_s }) => [burst_s], 's', [1e-4, 60], 'no amplifier has a burst of'),
  limits(
    'frequency_Hz',
    ({ frequency_Hz }) => frequency_Hz ?? [],
    'Hz',
    [1, 1e6],
    'no amplifier is rated at',
  ),
  limits('supply', volts('mains'), 'V', [50, 500], 'no mains has'),
  limits('supply', volts('dc'), 'V', [1, 1000], 'no supply has'),
  limits('supply', ({ supply }) => [supply?.frequency_Hz], 'Hz', [40, 500], 'no mains has'),
];
const MOST_CHANNELS = 64;

function limits(
  term: keyof ClaimTerms,
  values: Limits['values'],
  unit: Unit,
  [least, most]: readonly [number, number],
  wrong: string,
): Limits {
  return { term, values, unit, least, most, wrong };
}

function volts(kind: 'mains' | 'dc'): Limits['values'] {
  return ({ supply }) => (supply?.kind === kind ? [supply.voltage_V] : []);
}

const exactly = (value: number, unit: Unit) => formatQuantity(value, unit, { figures: 6, trim: true });

/** Everything about the terms that cannot be: values out of reach, and terms that contradict each other. */
export function termFaults(terms: ClaimTerms): TermFault[] {
  const outOfReach = LIMITS.flatMap(({ term, values, unit, least, most, wrong }) => {
    const value = values(terms).find((one) => one != null && !(one >= least && one <= most));
    const mend = `give one from ${exactly(least, unit)} to ${exactly(most, unit)}`;
    return value == null ? [] : [{ term, what: `${wrong} ${exactly(value, unit)}`, mend }];
  });
  return [...outOfReach, ...channelFaults(terms), ...contradictions(terms)];
}

/** A number of hundreds of digits is no longer one. */
const counted = (count: number) => (Number.isFinite(count) ? String(count) : 'so many');

function channelFaults({ channels, driven }: ClaimTerms): TermFault[] {
  const mend = `give a whole number from 1 to ${MOST_CHANNELS}`;
  const impossible = (count: number) => !Number.isInteger(count) || count < 1 || count > MOST_CHANNELS;
  if (typeof driven === 'number' && impossible(driven))
    return [{ term: 'driven', what: `${counted(driven)} channels cannot be driven`, mend }];
  if (channels === null) return [];
  if (impossible(channels))
    return [{ term: 'channels', what: `no unit has ${counted(channels)} channels`, mend }];
  if (typeof driven !== 'number' || driven <= channels) return [];
  const what = `${driven} channels driven of ${channels}`;
  return [{ term: 'driven', what, mend: 'give at most as many as there are' }];
}

function contradictions(terms: ClaimTerms): TermFault[] {
  const { kind, burst_s, duration_s, from_W, power_W, frequency_Hz } = terms;
  const faults: TermFault[] = [];
  if (kind === 'continuous' && burst_s !== null)
    faults.push({
      term: 'burst_s',
      what: `continuous power, and a burst of ${exactly(burst_s, 's')}`,
      mend: 'a power is one or the other: leave one of the two out',
    });
  if (burst_s !== null && duration_s !== null)
    faults.push({
      term: 'duration_s',
      what: `a burst of ${exactly(burst_s, 's')}, and a duration of ${exactly(duration_s, 's')}`,
      mend: 'give one of the two',
    });
  if (from_W !== null && power_W !== null && from_W >= power_W)
    faults.push({
      term: 'from_W',
      what: `the powers run down, from ${exactly(from_W, 'W')} to ${exactly(power_W, 'W')}`,
      mend: 'give the lower one first',
    });
  if (frequency_Hz !== null && frequency_Hz[0] > frequency_Hz[1])
    faults.push({
      term: 'frequency_Hz',
      what: `the band runs down, from ${exactly(frequency_Hz[0], 'Hz')} to ${exactly(frequency_Hz[1], 'Hz')}`,
      mend: 'give the lower end first',
    });
  return faults;
}

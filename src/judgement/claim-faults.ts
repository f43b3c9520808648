import { formatQuantity } from '../units/format.js';
import type { Unit } from '../units/quantity.js';
import type { ClaimTerms } from './claim.js';

/** What cannot be true of a claim, and the term that says it. */
export interface TermFault {
  readonly term: keyof ClaimTerms;
  readonly what: string;
  readonly mend: string;
}

interface Limits {
  readonly term: 'power_W' | 'from_W' | 'load_ohm' | 'distortion_percent' | 'duration_s' | 'burst_s';
  readonly unit: Unit;
  readonly least: number;
  readonly most: number;
  /** With the article, as in "no amplifier has ...". */
  readonly noun: string;
}

/** Beyond these a figure is a slip and not a rating: common practice, no source. */
const LIMITS: readonly Limits[] = [
  { term: 'power_W', unit: 'W', least: 1e-3, most: 1e5, noun: 'power' },
  { term: 'from_W', unit: 'W', least: 1e-6, most: 1e5, noun: 'lowest power' },
  { term: 'load_ohm', unit: 'ohm', least: 0.1, most: 1e4, noun: 'load' },
  { term: 'distortion_percent', unit: '%', least: 1e-5, most: 100, noun: 'distortion' },
  { term: 'duration_s', unit: 's', least: 1e-3, most: 30 * 86_400, noun: 'duration' },
  { term: 'burst_s', unit: 's', least: 1e-4, most: 60, noun: 'burst' },
];
const BAND_HZ = [1, 1e6] as const;
const MOST_CHANNELS = 64;
const SUPPLY_V = { mains: [50, 500], dc: [1, 1000] } as const;
const MAINS_HZ = [40, 500] as const;

const exactly = (value: number, unit: Unit) => formatQuantity(value, unit, { figures: 6, trim: true });

/** Everything about the terms that cannot be: values out of reach, and terms that contradict each other. */
export function termFaults(terms: ClaimTerms): TermFault[] {
  return [
    ...LIMITS.flatMap((limits) => outOfReach(terms, limits)),
    ...bandFaults(terms),
    ...channelFaults(terms),
    ...supplyFaults(terms),
    ...contradictions(terms),
  ];
}

function outOfReach(terms: ClaimTerms, { term, unit, least, most, noun }: Limits): TermFault[] {
  const value = terms[term];
  if (value === null || (value >= least && value <= most)) return [];
  return [
    {
      term,
      what: `no amplifier has a ${noun} of ${exactly(value, unit)}`,
      mend: `give one from ${exactly(least, unit)} to ${exactly(most, unit)}`,
    },
  ];
}

function bandFaults({ frequency_Hz }: ClaimTerms): TermFault[] {
  if (frequency_Hz === null) return [];
  const [low, high] = frequency_Hz;
  const term = 'frequency_Hz';
  if (low > high)
    return [
      {
        term,
        what: `the band runs down, from ${exactly(low, 'Hz')} to ${exactly(high, 'Hz')}`,
        mend: 'give the lower end first',
      },
    ];
  if (low >= BAND_HZ[0] && high <= BAND_HZ[1]) return [];
  const wrong = low < BAND_HZ[0] ? low : high;
  return [
    {
      term,
      what: `no amplifier is rated at ${exactly(wrong, 'Hz')}`,
      mend: `give frequencies from ${exactly(BAND_HZ[0], 'Hz')} to ${exactly(BAND_HZ[1], 'Hz')}`,
    },
  ];
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
  return [
    {
      term: 'driven',
      what: `${driven} channels driven of ${channels}`,
      mend: 'give at most as many as there are',
    },
  ];
}

function supplyFaults({ supply }: ClaimTerms): TermFault[] {
  if (supply === null) return [];
  const [least, most] = SUPPLY_V[supply.kind];
  const { voltage_V, frequency_Hz } = supply;
  const name = supply.kind === 'mains' ? 'mains' : 'supply';
  if (voltage_V < least || voltage_V > most)
    return [
      {
        term: 'supply',
        what: `no ${name} has ${exactly(voltage_V, 'V')}`,
        mend: `give a voltage from ${least} V to ${most} V`,
      },
    ];
  if (frequency_Hz === null || (frequency_Hz >= MAINS_HZ[0] && frequency_Hz <= MAINS_HZ[1])) return [];
  return [
    {
      term: 'supply',
      what: `no mains has ${exactly(frequency_Hz, 'Hz')}`,
      mend: `give a frequency from ${MAINS_HZ[0]} Hz to ${MAINS_HZ[1]} Hz`,
    },
  ];
}

function contradictions({ kind, burst_s, duration_s, from_W, power_W }: ClaimTerms): TermFault[] {
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
  return faults;
}

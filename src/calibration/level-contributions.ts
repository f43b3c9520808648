import { type Component, type Contribution, limits, normal, weighed } from '../measure/budget.js';
import type { ChannelChain } from './chain.js';
import { responseAt } from './response.js';

/** Percent of a level for one decibel, for small shares. */
export const PERCENT_PER_dB = (100 * Math.LN10) / 20;

/** All that a budget of one channel at one setting rests on, beside the chain. */
export interface MeasuredLevel {
  readonly chain: ChannelChain;
  readonly frequency_Hz: number;
  readonly voltage_V: number;
  /** Rms of the noise in the band, and how wide the band is. */
  readonly noise_V: number;
  readonly bandwidth_Hz: number;
  /** Length of the record. */
  readonly seconds: number;
  /** By which share of itself the level differs between the halves of the record. */
  readonly levelMoved: number;
}

/** Contributions, and in words what is not known for want of a statement. */
export interface Contributions {
  readonly components: readonly Component[];
  readonly missing: readonly string[];
}

/** Room for a coherent tone that stands just past the frequency that it is named after. */
const PAST = 1.01;
/** A chain is calibrated at 1 kHz: within an octave of it a level is taken to be as it is there. */
export const NEAR_1kHz = [500 / PAST, 2000 * PAST] as const;
/** Where limits of flatness hold. The ends of a band are approached from outside, at low rates by more than 1 %. */
const PAST_END = 1.02;
const FLAT_FROM_Hz = 20 / PAST_END;
const FLAT_TO_Hz = 20_000 * PAST_END;

/**
 * What makes a voltage at the load uncertain: the converter's and the attenuator's calibration at 1 kHz, the response
 * at the tone's frequency, what still moved during the record, and the noise on the level.
 */
export function voltageContributions(level: MeasuredLevel): Contributions {
  const { chain } = level;
  const { channel, inputStated, attenuatorStated } = chain;
  const response = responseContributions(chain, level.frequency_Hz);
  const own = [
    ...(inputStated ?? []),
    ...(attenuatorStated ?? []),
    ...response.components,
    ...movement(
      `channel ${channel}: level between the halves of the record`,
      level.levelMoved,
      levelChance(level),
    ),
    noiseOnLevel(level),
  ];
  return {
    components: weighed(own, 1),
    missing: [
      ...(inputStated ? [] : [`input ${channel}`]),
      ...(attenuatorStated ? [] : [`attenuator ${channel}`]),
      ...response.missing,
    ],
  };
}

/**
 * What the chain's response adds to the level of a tone, relative to 1 kHz: the record's own uncertainty, or the limits
 * of flatness that somebody stated. Without either, or where the limits end, it is missing, except near 1 kHz.
 */
export function responseContributions(
  chain: ChannelChain,
  frequency_Hz: number,
): { readonly components: readonly Contribution[]; readonly missing: readonly string[] } {
  const { channel, response, flatness_dB } = chain;
  if (response) return { components: recorded(chain, frequency_Hz), missing: [] };
  if (frequency_Hz >= NEAR_1kHz[0] && frequency_Hz <= NEAR_1kHz[1]) return { components: [], missing: [] };
  if (flatness_dB === null || frequency_Hz < FLAT_FROM_Hz || frequency_Hz > FLAT_TO_Hz)
    return { components: [], missing: [responseName(channel)] };
  const source = `response ${channel}: flat within ${flatness_dB} dB (bench file)`;
  return { components: [limits(source, PERCENT_PER_dB * flatness_dB)], missing: [] };
}

export const responseName = (channel: number): string => `frequency response of channel ${channel}`;

function recorded({ channel, response, records }: ChannelChain, frequency_Hz: number): Contribution[] {
  const { uncertainty_dB } = responseAt(response!, frequency_Hz);
  const record = records.find(({ kind }) => kind === 'response');
  const source = `response ${channel}: calibration${record ? ` (record ${record.id})` : ''}`;
  return [normal(source, 'B', PERCENT_PER_dB * uncertainty_dB)];
}

/**
 * What moved from one half of a record to the other, as limits: the figure belongs to some time within the record, or
 * soon after it. What noise alone moves is taken out first, since it is counted by itself.
 */
export function movement(source: string, moved: number, chance: number): Contribution[] {
  const real = Math.sqrt(Math.max(0, moved ** 2 - chance ** 2));
  return real === 0 ? [] : [limits(source, 100 * real)];
}

/** Independent values of noise in a record, `2 B T` (Bendat and Piersol, from memory), at least one. */
export function noiseValues({
  bandwidth_Hz,
  seconds,
}: Pick<MeasuredLevel, 'bandwidth_Hz' | 'seconds'>): number {
  return Math.max(1, 2 * bandwidth_Hz * seconds);
}

/** Standard deviation, relative, by which noise makes the levels of two halves differ: root two times root two. */
function levelChance(level: MeasuredLevel): number {
  return (2 * noiseShare(level)) / Math.sqrt(noiseValues(level));
}

function noiseShare({ noise_V, voltage_V }: MeasuredLevel): number {
  return voltage_V > 0 ? Math.min(1, noise_V / voltage_V) : 0;
}

/**
 * Noise N on a tone F, V^2 = F^2 + N^2. Of n independent values of white noise the tone's amplitude keeps a variance of
 * N^2/n relative to F^2, and the noise's own power one of 2/n (Bendat and Piersol, from memory), so that
 * u(V)/V = N/V x root of (F^2/V^2 + N^2/(2 V^2)) / n.
 */
function noiseOnLevel(level: MeasuredLevel): Contribution {
  const share = noiseShare(level);
  const values = noiseValues(level);
  const percent = 100 * share * Math.sqrt((1 - share ** 2 / 2) / values);
  return normal(`channel ${level.chain.channel}: noise on the level`, 'A', percent, values);
}

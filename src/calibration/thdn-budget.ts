import type { Harmonic } from '../measure/analysis.js';
import { type Budget, budgetOf, type Contribution, limits, normal, weighed } from '../measure/budget.js';
import type { ChannelChain } from './chain.js';
import {
  type Contributions,
  type MeasuredLevel,
  movement,
  noiseValues,
  PERCENT_PER_dB,
  responseContributions,
  responseName,
} from './level-contributions.js';
import { responseAt } from './response.js';

/** A distortion reading with all that its uncertainty rests on. Levels at the load. */
export interface MeasuredThdn extends MeasuredLevel {
  readonly thdn_percent: number;
  readonly harmonics: readonly Harmonic[];
  /** What the bench reads of itself at this frequency and level; null: not stated. */
  readonly floor_percent: number | null;
  /** By which share of itself the residue differs between the halves of the record. */
  readonly residueMoved: number;
}

/** What is taken in the place of what nobody stated. */
export interface AssumedThdn {
  readonly flatness_dB: number;
  readonly floor_percent: number;
}

/** Uncertainty budget of a THD+N reading; percentages are shares of the reading. */
export function thdnBudget(reading: MeasuredThdn): Budget {
  return budgetOf({
    quantity: 'thdn',
    value: reading.thdn_percent,
    unit: '%',
    ...thdnContributions(reading),
  });
}

/**
 * What makes THD+N uncertain. With the residue r = root of (H^2 + N^2) relative to the fundamental F, D = r / root of
 * (1 + r^2), so that a share of r counts (1 - D^2) times in D. Of r^2 the harmonics make up w and the noise 1 - w:
 *
 * - a level of F that is off by a share moves r by that share, the other way; harmonics that are all off by a share
 *   move it by w times that share (they are taken to err together, which is the worst);
 * - the bench's own residue may add to the unit's or cancel it: limits of floor / D;
 * - the rms of noise over bandwidth B and time T has the relative standard deviation 1 / (2 root of (B T)) (Bendat and
 *   Piersol, from memory), and counts 1 - w times;
 * - what the residue still moved within the record.
 *
 * @param assumed what to put in the place of what nobody stated; null: nothing, it is missing
 */
export function thdnContributions(reading: MeasuredThdn, assumed: AssumedThdn | null = null): Contributions {
  const { chain, harmonics, noise_V, thdn_percent } = reading;
  const channel = `channel ${chain.channel}`;
  const harmonicPower = harmonics.reduce((sum, { rms }) => sum + rms ** 2, 0);
  const residue = harmonicPower + noise_V ** 2;
  const ofHarmonics = residue > 0 ? harmonicPower / residue : 0;
  const tone = responseContributions(chain, reading.frequency_Hz);
  const overtones = harmonicResponse(chain, harmonics, residue, assumed);
  const values = noiseValues(reading);
  const moved = movement(
    `${channel}: residue between the halves of the record`,
    reading.residueMoved,
    chance(1 - ofHarmonics, values),
  );
  const less = 1 - (thdn_percent / 100) ** 2;
  const floor = floorLimits(reading, assumed);
  const unstated = reading.floor_percent === null && assumed === null ? [FLOOR_NAME] : [];
  return {
    components: [
      ...weighed(tone.components, -less),
      ...weighed(overtones.components, less),
      ...weighed([noiseStatistics(channel, values)], (1 - ofHarmonics) * less),
      ...weighed([...moved, ...floor], less),
    ],
    missing: [...new Set([...tone.missing, ...overtones.missing, ...unstated])],
  };
}

const FLOOR_NAME = 'residual of the bench';

const noiseStatistics = (channel: string, values: number): Contribution =>
  normal(`${channel}: noise in a record of finite length`, 'A', 100 / Math.sqrt(2 * values), values);

/** Relative standard deviation of the difference of two halves' residues by noise alone: twice that of the whole. */
function chance(ofNoise: number, values: number): number {
  return (2 * ofNoise) / Math.sqrt(2 * values);
}

function floorLimits(
  { floor_percent, thdn_percent, chain }: MeasuredThdn,
  assumed: AssumedThdn | null,
): Contribution[] {
  const floor = floor_percent ?? assumed?.floor_percent ?? null;
  if (floor === null || thdn_percent <= 0) return [];
  const words = floor_percent === null ? 'not stated, no more than the lowest reading near this place, ' : '';
  const source = `channel ${chain.channel}: ${FLOOR_NAME}, ${words}${floor.toPrecision(2)} %`;
  return [limits(source, 100 * Math.min(1, floor / thdn_percent))];
}

/** The response at the harmonics, weighed by their part in the residue, as one contribution. */
function harmonicResponse(
  { response, flatness_dB, channel }: ChannelChain,
  harmonics: readonly Harmonic[],
  residue: number,
  assumed: AssumedThdn | null,
): { readonly components: readonly Contribution[]; readonly missing: readonly string[] } {
  const shareOf = ({ rms }: Harmonic) => (residue > 0 ? rms ** 2 / residue : 0);
  const weight = harmonics.reduce((sum, harmonic) => sum + shareOf(harmonic), 0);
  if (weight === 0) return { components: [], missing: [] };
  if (response) {
    const spread_dB = harmonics.reduce(
      (sum, harmonic) => sum + shareOf(harmonic) * responseAt(response, harmonic.frequency_Hz).uncertainty_dB,
      0,
    );
    const source = `response ${channel}: calibration, at the harmonics`;
    return { components: [normal(source, 'B', PERCENT_PER_dB * spread_dB)], missing: [] };
  }
  const flat_dB = flatness_dB ?? assumed?.flatness_dB ?? null;
  if (flat_dB === null) return { components: [], missing: [responseName(channel)] };
  const words = flatness_dB === null ? 'not stated, taken as flat within' : 'flat within';
  const source = `response ${channel}: ${words} ${flat_dB} dB at the harmonics`;
  return { components: [limits(source, PERCENT_PER_dB * flat_dB * weight)], missing: [] };
}

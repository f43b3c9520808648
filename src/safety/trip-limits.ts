import { loadVoltsPerUnit } from '../calibration/chain.js';
import type { BenchFacts } from '../sequence/bench-facts.js';
import type { EnergisedStep } from '../sequence/plan.js';

/** What one channel must not pass while a step plays. */
export interface ChannelTripLimits {
  readonly channel: number;
  /** Position among the bench's channels. */
  readonly index: number;
  /** Load volts for a sample of 1.0. */
  readonly voltsPerUnit: number;
  readonly load_ohm: number;
  readonly voltage_Vpk: number;
  readonly power_W: number;
  readonly dc_V: number;
}

export type TripLimits = readonly ChannelTripLimits[];

/** A load may see this much over its rating for a moment: a reading's error must not end a run. */
const OVER_RATING = 1.1;
/**
 * A unit may give this many times the power that was asked for before it counts as running away. The first
 * look at a new frequency is taken with the gain of the last one, and an output filter without its load
 * damping lifts the treble by a few decibels.
 */
const OVER_ASKED = 2;
/** Peak over that of the stimulus at the highest power: beyond it something rings or oscillates. */
const OVER_PEAK = 1.25;

/**
 * The limits that end a step at once, for each channel that is read: whichever is lowest of what the load, the
 * attenuator and the step allow. They guard the bench and catch a unit that runs away; the levels that a
 * step asks for stay well below them.
 *
 * @param bench its `dcLimit_V` is the most DC at a load
 * @param crest peak over rms of what the step plays: power is that of a burst while it sounds
 */
export function tripLimits(
  step: EnergisedStep,
  bench: BenchFacts & { readonly dcLimit_V: number },
  crest: number,
): TripLimits {
  return step.measured.map((channel) => {
    const index = bench.channels.findIndex((candidate) => candidate.channel === channel);
    const chain = bench.channels[index]!;
    const load = chain.loads.find(({ nominal_ohm }) => nominal_ohm === step.load_ohm)!;
    const power_W = Math.min(OVER_RATING * load.shortRating_W, OVER_ASKED * step.most_W);
    const highest_Vpk = crest * Math.sqrt(power_W * load.measured_ohm);
    return {
      channel,
      index,
      voltsPerUnit: loadVoltsPerUnit(chain),
      load_ohm: load.measured_ohm,
      voltage_Vpk: Math.min(OVER_PEAK * highest_Vpk, chain.attenuatorRating_Vpk),
      power_W,
      dc_V: bench.dcLimit_V,
    };
  });
}

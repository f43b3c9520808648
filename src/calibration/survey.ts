import { usableTop_Hz } from '../measure/default-band.js';
import { assumptions } from './assumptions.js';
import { type CalibratedPart, calibratedParts } from './calibrated-parts.js';
import { type ChannelChain, type Load, loadVoltsPerUnit, type SurveyedBench } from './chain.js';
import { powerBudget } from './power-budget.js';
import { warmResistance_ohm } from './warm-load.js';

/** The part of a bench that lets the least power through. */
export type Decider = 'input' | 'attenuator' | 'load';

/** How far one channel reaches into one of its loads, with a sine. */
export interface LoadReach {
  readonly channel: number;
  readonly load_ohm: number;
  readonly measured_ohm: number;
  /** At the input's digital full scale. */
  readonly input_Vrms: number;
  readonly input_W: number;
  /** At the attenuator's rating. */
  readonly attenuator_Vrms: number;
  readonly attenuator_W: number;
  readonly continuous_W: number;
  /** For seconds, with rests in between. */
  readonly short_W: number;
  /** The least of input, attenuator and the load's short rating, and which of them it is. */
  readonly most_W: number;
  readonly most_Vrms: number;
  readonly decides: Decider;
  /** U of a power at 1 kHz in percent, the load cold; null when a part of the way states nothing. */
  readonly uncertainty_percent: number | null;
}

/** A bench looked over. */
export interface BenchSurvey {
  readonly reaches: readonly LoadReach[];
  readonly parts: readonly CalibratedPart[];
  /** In sentences. */
  readonly assumed: readonly string[];
  /** Highest tone whose third harmonic the converters still see. */
  readonly thirdHarmonic_Hz: number;
  /** The first day on which a record ends that still holds; null when none has an end. */
  readonly holdsUntil: string | null;
}

/** Looks a bench over: what it reads, what it stands, what stands behind it. Plays nothing and reads no file. */
export function survey(bench: SurveyedBench): BenchSurvey {
  const parts = calibratedParts(bench);
  const ends = parts.flatMap(({ record }) => (record?.due && record.due >= bench.day ? [record.due] : []));
  return {
    reaches: bench.channels.flatMap((chain) => chain.loads.map((load) => reachOf(chain, load))),
    parts,
    assumed: assumptions(bench),
    thirdHarmonic_Hz: usableTop_Hz(bench.rate_Hz) / 3,
    holdsUntil: ends.sort()[0] ?? null,
  };
}

/** How far a channel reaches into a load, by P = V^2 / R of a sine at each limit. */
export function reachOf(chain: ChannelChain, load: Load): LoadReach {
  const sine_W = (volts_rms: number) => volts_rms ** 2 / load.measured_ohm;
  const input_Vrms = loadVoltsPerUnit(chain) / Math.SQRT2;
  const attenuator_Vrms = chain.attenuatorRating_Vpk / Math.SQRT2;
  const powers: Record<Decider, number> = {
    input: sine_W(input_Vrms),
    attenuator: sine_W(attenuator_Vrms),
    load: load.shortRating_W,
  };
  const most_W = Math.min(...Object.values(powers));
  return {
    channel: chain.channel,
    load_ohm: load.nominal_ohm,
    measured_ohm: load.measured_ohm,
    input_Vrms,
    input_W: powers.input,
    attenuator_Vrms,
    attenuator_W: powers.attenuator,
    continuous_W: load.rating_W,
    short_W: load.shortRating_W,
    most_W,
    most_Vrms: Math.sqrt(most_W * load.measured_ohm),
    decides: (['load', 'attenuator', 'input'] as const).find((part) => powers[part] === most_W)!,
    uncertainty_percent: powerUncertainty_percent(chain, load, 0),
  };
}

/**
 * U of a power at 1 kHz, in percent, from what the bench states alone, the load as warm as this power makes it. What a
 * reading adds of its own (settling, noise) is not in it.
 *
 * @param power_W mean power that warms the load
 * @returns null when a part of the way states nothing
 */
export function powerUncertainty_percent(chain: ChannelChain, load: Load, power_W: number): number | null {
  const warm_ohm = warmResistance_ohm(load, power_W);
  const voltage_V = Math.sqrt(power_W * warm_ohm);
  const still = { noise_V: 0, bandwidth_Hz: 1, seconds: 1, levelMoved: 0 };
  return powerBudget({ chain, load, warm_ohm, voltage_V, frequency_Hz: 1000, ...still }).expanded_percent;
}

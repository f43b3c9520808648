import type {
  ChannelTwin,
  FilterTwin,
  OutputTwin,
  Twin,
  UnregulatedTwin,
} from '../../../src/bench/simulated/twin.js';
import type { Dice } from './dice.js';
import { railOf } from './rail.js';

/**
 * The same unit of another size, with what no unit is free of: noise, curvature, an uneven pair of rails, a
 * rounded knee, an offset, a trace of crossover, some resistance in the output.
 */
export function varied(twin: Twin, dice: Dice): Twin {
  const size = dice.between(0.67, 1.33);
  const { supply, channel: base } = twin;
  const drop_V = base.output.drop_V * dice.between(0.5, 1.5);
  return {
    ...twin,
    supply:
      supply.kind === 'regulated'
        ? { ...supply, positive_V: size * supply.positive_V, negative_V: size * supply.negative_V }
        : { ...supply, secondary_V: size * supply.secondary_V },
    channel: {
      ...base,
      noise_V: base.noise_V * dice.between(0.3, 10),
      curvature: base.curvature && {
        second: base.curvature.second * dice.between(0.3, 10),
        third: base.curvature.third * dice.between(0.3, 10),
        at_V: size * base.curvature.at_V,
      },
      crossover: dice.pick([
        null,
        { missing_V: dice.between(2e-4, 4e-3), softness_A: dice.between(0.01, 0.1) },
      ]),
      output: {
        ...base.output,
        drop_V,
        negativeDrop_V: drop_V * dice.between(0.7, 1.4),
        offset_V: dice.pick([-1, 1]) * dice.between(1e-3, 0.03),
        softness: dice.pick([0, 0, 0.01, 0.03, 0.08]),
        resistance_ohm: dice.between(0.01, 0.15),
      },
    },
  };
}

/**
 * Half of all units stand on a large transformer and reservoir instead of a regulated supply: their rails
 * ripple, but do not give way.
 */
export function onMains(twin: Twin, dice: Dice): Twin {
  const mains_Hz = dice.pick([50, 60]);
  const reservoir_F = dice.between(0.03, 0.1);
  const { supply } = twin;
  if (dice.pick([true, false]) || supply.kind !== 'regulated') return twin;
  return {
    ...twin,
    supply: {
      kind: 'unregulated',
      mains_V: 230,
      nominalMains_V: 230,
      mains_Hz,
      mainsResistance_ohm: 0.3,
      secondary_V: (supply.positive_V + 1) / Math.SQRT2,
      resistance_ohm: 0.05,
      rectifierDrop_V: 1,
      halfWave: false,
      reservoir_F,
      hum: 3e-5,
    },
  };
}

function channel(twin: Twin, changes: Partial<ChannelTwin>): Twin {
  return { ...twin, channel: { ...twin.channel, ...changes } };
}

export function output(twin: Twin, changes: Partial<OutputTwin>): Twin {
  return channel(twin, { output: { ...twin.channel.output, ...changes } });
}

export function crossing(twin: Twin, missing_V: number, softness_A: number): Twin {
  return channel(twin, { crossover: { missing_V, softness_A } });
}

/** Rails of other transformers and reservoirs, at 50 or 60 Hz. */
export function sagging(twin: Twin, dice: Dice): Twin {
  const supply = twin.supply as UnregulatedTwin;
  return {
    ...twin,
    supply: {
      ...supply,
      mains_Hz: dice.pick([50, 60]),
      resistance_ohm: supply.resistance_ohm * dice.between(0.5, 2.5),
      mainsResistance_ohm: supply.mainsResistance_ohm * dice.between(0.3, 2),
      reservoir_F: supply.reservoir_F * dice.between(0.4, 3),
    },
  };
}

/** Slew limit at a share of what the rails would ask for at a frequency. */
export function slewAt(twin: Twin, frequency_Hz: number, share: number): Twin {
  return output(twin, { slew_V_per_s: share * 2 * Math.PI * frequency_Hz * railOf(twin) });
}

export function filterOf(dice: Dice): FilterTwin {
  return {
    inductance_H: dice.between(30e-6, 80e-6),
    capacitance_F: dice.between(0.4e-6, 1.2e-6),
    resistance_ohm: 0.025,
  };
}

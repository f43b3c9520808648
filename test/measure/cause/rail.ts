import type { Twin } from '../../../src/bench/simulated/twin.js';

/** Roughly the highest peak volts into an open load. */
export function railOf(twin: Twin): number {
  const { supply } = twin;
  const rail = supply.kind === 'regulated' ? supply.positive_V : Math.SQRT2 * supply.secondary_V;
  return rail - twin.channel.output.drop_V;
}

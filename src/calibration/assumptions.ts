import { formatQuantity } from '../units/format.js';
import { groupBy } from '../units/group-by.js';
import { listed } from '../units/listed.js';
import type { ChannelChain, Load, SurveyedBench } from './chain.js';

/** What a bench must tell of itself so that one can say what it leaves open. */
type StatedBench = Pick<SurveyedBench, 'channels' | 'floor' | 'clockLimits_ppm' | 'kind'>;

/** A load that grows by less than this at its full rating is taken as constant without a word. */
const LEAST_WARMING = 0.0005;

/**
 * What is taken for granted when a bench's readings become volts and watts, in plain sentences: each part of which nobody
 * stated anything, and what is assumed in its place. Channels of which the same holds share a sentence.
 */
export function assumptions(bench: StatedBench): string[] {
  const all = bench.channels.flatMap((chain) =>
    ofChannel(chain).map((text) => ({ text, of: chain.channel })),
  );
  const ofBench = [
    bench.floor === null &&
      'The residual of the bench is not stated: no reading is flagged as limited by the bench.',
    bench.clockLimits_ppm === null &&
      bench.kind !== 'simulated' &&
      "The interface's clock is assumed exact: no frequency gets an uncertainty.",
  ].filter((text) => text !== false);
  return [...groupBy(all, ({ text }) => text)]
    .map(([text, said]) => `${channelList(said.map(({ of }) => of))}: ${text}`)
    .concat(ofBench);
}

function ofChannel(chain: ChannelChain): string[] {
  const { outputStated, inputStated, attenuatorStated, response, flatness_dB, current, loads } = chain;
  const unstated = (what: string, effect: string) =>
    `the uncertainty of the ${what} is not stated; ${effect}.`;
  return [
    outputStated === null && unstated('output', 'gains get no uncertainty'),
    inputStated === null && unstated('input', 'volts and powers get no uncertainty'),
    attenuatorStated === null && unstated('attenuator', 'volts and powers get no uncertainty'),
    ...loads.flatMap(ofLoad),
    response === null &&
      flatness_dB === null &&
      'the frequency response is assumed flat; volts and powers far from 1 kHz get no uncertainty.',
    current !== null &&
      current.stated === null &&
      'the uncertainty of the current shunt is not stated; the ohms that it shows are a check only.',
    current === null && 'no current shunt, nominal load assumed.',
  ].filter((text) => text !== false);
}

function ofLoad(load: Load): string[] {
  const { nominal_ohm, measured_ohm, stated, tempco_per_K, heating_K_per_W, rating_W, measuredAt_C } = load;
  const label = formatQuantity(nominal_ohm, 'ohm');
  const used = measured_ohm === nominal_ohm ? 'its nominal value' : formatQuantity(measured_ohm, 'ohm');
  const warming = Math.abs(tempco_per_K) * heating_K_per_W * rating_W;
  return [
    stated === null &&
      `the uncertainty of the ${label} load is not stated (${used} is used); powers get no uncertainty.`,
    warming === 0 && `the ${label} load is assumed to keep its resistance when warm.`,
    warming > LEAST_WARMING &&
      measuredAt_C === null &&
      `the ${label} load is assumed to have been measured at room temperature.`,
  ].filter((text) => text !== false);
}

/** `Channel 1`, `Channels 1 and 2`, `Channels 1 to 3 and 5`. */
function channelList(channels: readonly number[]): string {
  const runs: [number, number][] = [];
  for (const channel of channels) {
    const last = runs.at(-1);
    if (last && channel === last[1] + 1) last[1] = channel;
    else runs.push([channel, channel]);
  }
  const parts = runs.flatMap(([from, to]) => {
    if (from === to) return [`${from}`];
    return to === from + 1 ? [`${from}`, `${to}`] : [`${from} to ${to}`];
  });
  return `Channel${channels.length > 1 ? 's' : ''} ${listed(parts)}`;
}

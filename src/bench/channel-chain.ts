import type { CalibrationRecord, ChannelChain } from '../calibration/chain.js';
import { calibration } from '../calibration/record-basis.js';
import type { FiledRecord } from '../calibration/record-file.js';
import type { BenchReading, KeyPath } from './bench-reading.js';
import type { ChannelKeys, ChannelsKeys } from './bench-schema.js';
import { channelLoads } from './channel-loads.js';
import { type GivenPart, type GivenValue, givenValue } from './given-value.js';

/** A rating that stands in where nothing real can burn. */
const SIMULATED_ATTENUATOR_RATING_Vpk = 1000;

/**
 * The chains of all channels of a bench; faults are noted in `reading`.
 *
 * @param sharedInputs whether channels may use the same input, one after the other, with its tap moved by hand
 */
export function channelChains(
  reading: BenchReading,
  channels: ChannelsKeys,
  sharedInputs = false,
): ChannelChain[] {
  const placed = placedChannels(reading, channels);
  const chains = placed.map((channel) => chainOf(reading, channel));
  const outputs = chains.map(({ output, channel }, i) => ({
    interfaceChannel: output,
    user: `channel ${channel}`,
    place: placed[i]!.place('output'),
  }));
  const inputs = chains.flatMap(({ input, channel, current }, i) => {
    const taps = [
      { interfaceChannel: input, user: `channel ${channel}`, place: placed[i]!.place('input') },
      {
        interfaceChannel: current?.input ?? 0,
        user: `the current shunt of channel ${channel}`,
        place: placed[i]!.place('current'),
      },
    ];
    return current ? taps : taps.slice(0, 1);
  });
  checkShared(reading, 'output', outputs);
  if (sharedInputs) checkSharing(reading, chains, placed);
  else checkShared(reading, 'input', inputs);
  return chains;
}

/** Channels that take turns at an input must find it as the others do, and no voltage input may read a shunt. */
function checkSharing(
  reading: BenchReading,
  chains: readonly ChannelChain[],
  placed: readonly PlacedChannel[],
): void {
  chains.forEach((chain, i) => {
    const first = chains.findIndex((other) => other.input === chain.input);
    if (chains[first]!.inputFullScale_Vpk !== chain.inputFullScale_Vpk)
      reading.complain(
        placed[i]!.place('input'),
        `channels ${first + 1} and ${chain.channel} share input ${chain.input} but give it different full scales`,
        'one input has one full scale; give the same to both',
      );
    const shunt = chains.find((other) => other.current?.input === chain.input);
    if (shunt)
      reading.complain(
        placed[i]!.place('input'),
        `interface input ${chain.input} is used by channel ${chain.channel} and by the current shunt of channel ${shunt.channel}`,
        'give taps and current shunts inputs of their own',
      );
  });
}

function checkShared(
  reading: BenchReading,
  side: 'output' | 'input',
  uses: readonly { readonly interfaceChannel: number; readonly user: string; readonly place: KeyPath }[],
): void {
  uses.forEach(({ interfaceChannel, user, place }, i) => {
    const first = uses.findIndex((other) => other.interfaceChannel === interfaceChannel);
    if (first === i) return;
    const what = `interface ${side} ${interfaceChannel} is used by ${uses[first]!.user} and by ${user}`;
    const tapsOnly = side === 'input' && !`${uses[first]!.user} ${user}`.includes('current shunt');
    const turns = tapsOnly ? ", or write 'shared_inputs: yes' when its tap is moved by hand" : '';
    reading.complain(place, what, `give each channel its own${turns}`);
  });
}

function chainOf(reading: BenchReading, placed: PlacedChannel): ChannelChain {
  const { channel, keys, place } = placed;
  const { output, input, attenuator } = keys;
  const given = (part: 'output' | 'input' | 'attenuator', key: string, value: number | undefined) =>
    givenValue(reading, {
      part: `${part} ${channel}`,
      key,
      value,
      uncertainty_percent: keys[part].uncertainty,
      record: keys[part].record,
      wanted: { kind: part, channel },
      place: place(part),
    });
  const out = given('output', 'full_scale', output.full_scale);
  const inp = given('input', 'full_scale', input.full_scale);
  const ratio = given('attenuator', 'ratio', attenuator.ratio);
  if (attenuator.rating === undefined && reading.energises)
    reading.complain(
      place('attenuator'),
      "'rating' is missing",
      'without it, nothing limits the voltage at the attenuator; give it, as in 100 V peak',
    );
  const loads = channelLoads(reading, channel, keys.load, place('load'));
  const tap = currentOf(reading, placed);
  const response = responseOf(reading, placed);
  return {
    channel,
    output: output.channel ?? channel,
    input: input.channel ?? channel,
    outputFullScale_Vpk: out.value,
    inputFullScale_Vpk: inp.value,
    attenuator_ratio: ratio.value,
    attenuatorRating_Vpk: attenuator.rating ?? SIMULATED_ATTENUATOR_RATING_Vpk,
    loads: loads.map(({ load }) => load),
    current: tap?.current ?? null,
    outputStated: out.stated,
    inputStated: inp.stated,
    attenuatorStated: ratio.stated,
    response: response?.response ?? null,
    flatness_dB: keys.flatness ?? null,
    records: [
      ...[out, inp, ratio].map(recordOf),
      ...loads.map(({ record }) => record),
      tap?.record ?? null,
      response?.record ?? null,
    ].filter((record) => record !== null),
  };
}

const recordOf = ({ filed }: GivenValue): CalibrationRecord | null => filed?.record ?? null;

/** What is stated in place covers the input, and the shunt too unless a record speaks for the shunt. */
function currentOf(reading: BenchReading, { channel, keys, place }: PlacedChannel) {
  const tap: ChannelKeys['current'] = keys.current;
  if (!tap) return null;
  const part: GivenPart = {
    part: `shunt ${channel}`,
    key: 'shunt',
    value: tap.shunt,
    uncertainty_percent: undefined,
    record: tap.record,
    wanted: { kind: 'shunt', channel },
    place: place('current'),
  };
  const { value, stated, filed } = givenValue(reading, part);
  const own =
    tap.uncertainty === undefined
      ? null
      : [calibration(`current shunt ${channel}`, 'bench file', tap.uncertainty), ...(stated ?? [])];
  return {
    current: { input: tap.channel, fullScale_Vpk: tap.full_scale, shunt_ohm: value, stated: own },
    record: filed?.record ?? null,
  };
}

function responseOf(reading: BenchReading, { channel, keys, place }: PlacedChannel): FiledRecord | null {
  if (!keys.response) return null;
  if (keys.flatness !== undefined)
    reading.complain(
      place('flatness'),
      "both 'response' and 'flatness' say how level the channel is",
      'a record replaces the limits: leave one out',
    );
  const { record } = keys.response;
  return reading.record(record, { kind: 'response', channel }, [...place('response'), 'record']);
}

/** A channel's keys with the place of each part, since parts may come from `all` or from an override. */
interface PlacedChannel {
  readonly channel: number;
  readonly keys: ChannelKeys;
  place(part: keyof ChannelKeys): KeyPath;
}

/** The channels of a bench file one by one, whether written as a list or as one for all with overrides. */
function placedChannels(reading: BenchReading, channels: ChannelsKeys): PlacedChannel[] {
  if (Array.isArray(channels))
    return channels.map((keys, i) => ({ channel: i + 1, keys, place: (part) => ['channels', i, part] }));
  const overrides = channels.overrides ?? [];
  overrides.forEach(({ channel }, i) => {
    const place = ['channels', 'overrides', i, 'channel'];
    if (channel > channels.count)
      reading.complain(place, `there is no channel ${channel} to override`, `count says ${channels.count}`);
    if (overrides.findIndex((other) => other.channel === channel) < i)
      reading.complain(place, `channel ${channel} is overridden twice`, 'put both into one');
  });
  return Array.from({ length: channels.count }, (_, i) => {
    const index = overrides.findIndex(({ channel }) => channel === i + 1);
    const { channel: _own, ...own } = overrides[index] ?? { channel: i + 1 };
    const written = Object.fromEntries(Object.entries(own).filter(([, value]) => value !== undefined));
    return {
      channel: i + 1,
      keys: { ...channels.all, ...written },
      place: (part) => (part in written ? ['channels', 'overrides', index, part] : ['channels', 'all', part]),
    };
  });
}

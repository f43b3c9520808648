import type { CalibrationRecord, ChannelChain, Load } from '../calibration/chain.js';
import { calibration, type FiledRecord } from '../calibration/record-file.js';
import type { BenchReading, Place } from './bench-reading.js';
import type { ChannelKeys, ChannelsKeys, LoadKeys } from './bench-schema.js';

/** Ratings that stand in where nothing real can burn. */
const SIMULATED_LOAD_RATING_W = 1000;
const SIMULATED_ATTENUATOR_RATING_Vpk = 1000;
/** Time constant of a finned wirewound load: common practice, no source. */
const THERMAL_s = 300;
/** A warming computed from a load's data sheet may be wrong by half of itself: common practice, no source. */
const WARMING_LIMITS = 0.5;

/** A channel's keys with the place of each part, since parts may come from `all` or from an override. */
interface PlacedChannel {
  readonly channel: number;
  readonly keys: ChannelKeys;
  place(part: keyof ChannelKeys): Place;
}

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
    const own = overrides[index];
    const chosen = <K extends keyof ChannelKeys>(part: K) => own?.[part] ?? channels.all[part];
    return {
      channel: i + 1,
      keys: {
        output: chosen('output') as ChannelKeys['output'],
        input: chosen('input') as ChannelKeys['input'],
        attenuator: chosen('attenuator') as ChannelKeys['attenuator'],
        load: chosen('load') as ChannelKeys['load'],
      },
      place: (part) => (own?.[part] ? ['channels', 'overrides', index, part] : ['channels', 'all', part]),
    };
  });
}

/** The chains of all channels of a bench; faults are noted in `reading`. */
export function channelChains(reading: BenchReading, channels: ChannelsKeys): ChannelChain[] {
  const placed = placedChannels(reading, channels);
  const chains = placed.map((channel) => chainOf(reading, channel));
  for (const side of ['output', 'input'] as const) {
    chains.forEach((chain, i) => {
      const first = chains.findIndex((other) => other[side] === chain[side]);
      if (first === i) return;
      const what = `interface ${side} ${chain[side]} is used by channel ${first + 1} and by channel ${i + 1}`;
      reading.complain(placed[i]!.place(side), what, 'give each channel its own');
    });
  }
  return chains;
}

/** A value given in place or by a record; both or neither is a fault. */
function givenValue(
  reading: BenchReading,
  given: { value: number | undefined; record: string | undefined; key: string },
  wanted: { kind: CalibrationRecord['kind']; channel: number },
  place: Place,
): { value: number; filed: FiledRecord | null } {
  const { value, record: id, key } = given;
  if (value !== undefined && id !== undefined)
    reading.complain([...place, 'record'], `both '${key}' and 'record' give the value`, 'leave one out');
  if (value === undefined && id === undefined)
    reading.complain(place, `'${key}' is missing`, `give it, or name a calibration record with 'record'`);
  const filed = id === undefined ? null : reading.record(id, wanted, [...place, 'record']);
  return { value: value ?? filed?.value ?? Number.NaN, filed };
}

function chainOf(reading: BenchReading, { channel, keys, place }: PlacedChannel): ChannelChain {
  const { output, input, attenuator } = keys;
  const source = (
    part: 'output' | 'input',
    side: { full_scale?: number | undefined; record?: string | undefined },
  ) =>
    givenValue(
      reading,
      { value: side.full_scale, record: side.record, key: 'full_scale' },
      { kind: part, channel },
      place(part),
    );
  const out = source('output', output);
  const inp = source('input', input);
  const ratio = givenValue(
    reading,
    { value: attenuator.ratio, record: attenuator.record, key: 'ratio' },
    { kind: 'attenuator', channel },
    place('attenuator'),
  );
  if (attenuator.rating === undefined && reading.energises)
    reading.complain(
      place('attenuator'),
      "'rating' is missing",
      'without it nothing keeps the test from asking for more volts than the attenuator stands; give it, as in 100 V peak',
    );
  const loads = loadsOf(reading, channel, keys.load, place('load'));
  return {
    channel,
    output: output.channel ?? channel,
    input: input.channel ?? channel,
    outputFullScale_Vpk: out.value,
    inputFullScale_Vpk: inp.value,
    attenuator_ratio: ratio.value,
    attenuatorRating_Vpk: attenuator.rating ?? SIMULATED_ATTENUATOR_RATING_Vpk,
    loads: loads.map(({ load }) => load),
    outputStated: out.filed?.stated ?? null,
    inputStated: stated('input', input.uncertainty, inp.filed),
    attenuatorStated: stated('attenuator', attenuator.uncertainty, ratio.filed),
    current: null,
    response: null,
    flatness_dB: null,
    records: [out.filed, inp.filed, ratio.filed, ...loads.map(({ filed }) => filed)]
      .filter((filed) => filed !== null)
      .map(({ record }) => record),
  };
}

/** What is stated in place counts before what a record states. */
function stated(what: string, written_percent: number | undefined, filed: FiledRecord | null) {
  return written_percent === undefined ? (filed?.stated ?? null) : [calibration(what, written_percent)];
}

function loadsOf(reading: BenchReading, channel: number, written: ChannelKeys['load'], place: Place) {
  const list = Array.isArray(written) ? written : [written];
  return list.map((keys, i) => {
    const at = Array.isArray(written) ? [...place, i] : place;
    if (list.findIndex((other) => other.nominal === keys.nominal) < i)
      reading.complain(
        [...at, 'nominal'],
        `a second load of ${keys.nominal} ohm`,
        'give each nominal value once',
      );
    return loadOf(reading, channel, keys, at);
  });
}

function loadOf(reading: BenchReading, channel: number, keys: LoadKeys, place: Place) {
  const wanted = { kind: 'load' as const, channel, nominal_ohm: keys.nominal };
  const filed = keys.record === undefined ? null : reading.record(keys.record, wanted, [...place, 'record']);
  if (keys.record !== undefined && keys.measured !== undefined)
    reading.complain([...place, 'record'], "both 'measured' and 'record' give the value", 'leave one out');
  const measured_ohm = keys.measured ?? filed?.value ?? keys.nominal;
  if (measured_ohm > 2 * keys.nominal || measured_ohm < keys.nominal / 2)
    reading.complain(
      [...place, keys.measured === undefined ? 'record' : 'measured'],
      `${measured_ohm} ohm measured does not belong to a load of ${keys.nominal} ohm`,
      'measure again, or name the right load',
    );
  if (keys.rating === undefined && reading.energises)
    reading.complain(
      place,
      "'rating' is missing",
      'without it nothing keeps the test from burning the load; give its continuous rating, as in 200 W',
    );
  if (keys.short_rating !== undefined && keys.rating !== undefined && keys.short_rating < keys.rating)
    reading.complain(
      [...place, 'short_rating'],
      'the short rating lies below the continuous one',
      'give what the load takes for seconds, or leave it out',
    );
  const rating_W = keys.rating ?? SIMULATED_LOAD_RATING_W;
  const load: Load = {
    nominal_ohm: keys.nominal,
    measured_ohm,
    measuredAt_C: null,
    rating_W,
    shortRating_W: keys.short_rating ?? rating_W,
    thermal_s: keys.thermal ?? THERMAL_s,
    inductance_H: keys.inductance ?? 0,
    tempco_per_K: keys.tempco ?? 0,
    heating_K_per_W: keys.heating ?? 0,
    warmingLimits: WARMING_LIMITS,
    stated: stated('load', keys.uncertainty, filed),
  };
  return { load, filed };
}

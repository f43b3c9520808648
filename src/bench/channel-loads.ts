import { type Load, loadName } from '../calibration/chain.js';
import { nominalMatch, nominalWords } from '../calibration/nominal-match.js';
import type { FiledRecord } from '../calibration/record-file.js';
import { isYes } from '../schema/fields.js';
import type { BenchReading, KeyPath } from './bench-reading.js';
import type { ChannelKeys, LoadKeys } from './bench-schema.js';
import { givenTwice, givenValue } from './given-value.js';

/** A rating that stands in where nothing real can burn. */
const SIMULATED_LOAD_RATING_W = 1000;
/** Time constant of a finned wirewound load: common practice, no source. */
const THERMAL_s = 300;
/** A warming computed from a load's data sheet may be wrong by half of itself: common practice, no source. */
const WARMING_LIMITS = 0.5;

/** The loads of a channel, each with the record that it was taken from; faults are noted in `reading`. */
export function channelLoads(
  reading: BenchReading,
  channel: number,
  written: ChannelKeys['load'],
  place: KeyPath,
) {
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

function loadOf(reading: BenchReading, channel: number, keys: LoadKeys, place: KeyPath) {
  const given = givenValue(
    reading,
    {
      part: loadName(channel, keys.nominal),
      key: 'measured',
      value: keys.measured,
      uncertainty_percent: keys.uncertainty,
      record: keys.record,
      wanted: { kind: 'load', channel, nominal_ohm: keys.nominal },
      place,
    },
    keys.nominal,
  );
  const measured_ohm = given.value;
  checkNominal(reading, keys, measured_ohm, place);
  checkRatings(reading, keys, place);
  const rating_W = keys.rating ?? SIMULATED_LOAD_RATING_W;
  const load: Load = {
    ...(keys.label === undefined ? {} : { label: keys.label }),
    nominal_ohm: keys.nominal,
    measured_ohm,
    rating_W,
    shortRating_W: keys.short_rating ?? rating_W,
    thermal_s: keys.thermal ?? THERMAL_s,
    ...behaviour(reading, keys, given.filed, place),
    stated: given.stated,
  };
  return { load, record: given.filed?.record ?? null };
}

/** A record that holds the ohms of another load has said so itself. */
function checkNominal(reading: BenchReading, keys: LoadKeys, measured_ohm: number, place: KeyPath): void {
  const { nominal, off_nominal, measured } = keys;
  const match = nominalMatch(measured_ohm, nominal);
  if (match === 'near' || !reading.plays) return;
  const at = [...place, measured === undefined ? 'record' : 'measured'];
  const words = nominalWords(measured_ohm, nominal);
  if (match === 'another')
    reading.complain(
      at,
      `${words}: these are the ohms of another load`,
      'connect and name the right load, or measure again; allowed are 0.71 to 1.41 times the nominal value',
    );
  else if (!isYes(off_nominal))
    reading.complain(
      at,
      words,
      "check which load is connected; if it is the one that is meant, confirm that with 'off_nominal: yes' beside it",
    );
}

/** What a load does when it warms and at high frequencies: from the bench file, or from its record. */
function behaviour(reading: BenchReading, keys: LoadKeys, filed: FiledRecord | null, place: KeyPath) {
  const { tempco, heating, warming_limits, inductance, temperature } = keys;
  const recorded: Partial<NonNullable<FiledRecord['load']>> = filed?.load ?? {};
  const written = { tempco, heating, warming_limits, inductance, temperature };
  const twice = Object.entries(written).filter(
    ([key]) => recorded[key as keyof typeof written] !== undefined,
  );
  if (filed) givenTwice(reading, filed, Object.fromEntries(twice), place);
  return {
    measuredAt_C: temperature ?? recorded.temperature ?? null,
    inductance_H: inductance ?? recorded.inductance ?? 0,
    tempco_per_K: tempco ?? recorded.tempco ?? 0,
    heating_K_per_W: heating ?? recorded.heating ?? 0,
    warmingLimits: warming_limits ?? recorded.warming_limits ?? WARMING_LIMITS,
  };
}

function checkRatings(reading: BenchReading, { rating, short_rating }: LoadKeys, place: KeyPath): void {
  if (rating === undefined && reading.energises)
    reading.complain(
      place,
      "'rating' is missing",
      'without it, nothing limits the power in the load; give its continuous rating, as in 200 W',
    );
  if (short_rating !== undefined && rating !== undefined && short_rating < rating)
    reading.complain(
      [...place, 'short_rating'],
      'the short rating lies below the continuous one',
      'give what the load takes for seconds, or leave it out',
    );
}

import type { Budget } from '../measure/budget.js';
import type { FlagCode } from '../measure/flags.js';
import type { CeilingResult, PowerAtThdn } from '../record/old-results.js';
import type { Point, Reading, RunRecord } from '../record/run-record.js';
import { decibelsOfPower } from '../units/decibel.js';
import { leastGain } from './clipping-model.js';

/** Which distortion a limit is held against. */
export type DistortionMeasure = 'THD' | 'THD+N';

/** What a run shows of the power that one channel keeps within a distortion limit, at one frequency of one step. */
export interface Evidence {
  readonly step: string;
  readonly stepKind: Point['stepKind'];
  readonly channel: number;
  readonly driven: readonly number[];
  readonly load_ohm: number;
  readonly nominal_Hz: number;
  readonly frequency_Hz: number;
  readonly limit_percent: number;
  /** The limit is kept at least up to here; null when it was never kept. */
  readonly least_W: number | null;
  /** The limit is not kept beyond here; null when it was never passed. The same as `least_W` where it was found. */
  readonly most_W: number | null;
  /** The highest power at which the limit was read to be kept, or found: `least_W` without what is inferred. */
  readonly kept_W: number | null;
  /** Where least and most come from when they are not what was read: the clipping model, in words; else empty. */
  readonly inferred: string;
  /** Expanded uncertainty over the power; null when not stated. */
  readonly share: number | null;
  /** Harmonics lay outside of the measuring band: a limit that seems kept may not be. */
  readonly blind: boolean;
  /** Readings were not as before: the unit, its load or the bench had changed, so that they prove nothing either way. */
  readonly changed: boolean;
  /** How long the level was held; null except for a hold. */
  readonly seconds: number | null;
  /** The most that was asked for or given: below it the run has tried. */
  readonly tried_W: number;
  /** Lowest power read. */
  readonly lowest_W: number;
  /** Readings that pass the limit for certain, at whatever level. */
  readonly passing: readonly { readonly power_W: number; readonly point: number }[];
  /** Points that it rests on. */
  readonly points: readonly number[];
  readonly budget: Budget | null;
}

/** Whether the power at the limit itself was found. */
export const isFound = ({ least_W, most_W }: Evidence): boolean => least_W !== null && least_W === most_W;

/** The channel and the frequency of a piece, as a key. */
export const placeOf = ({ channel, nominal_Hz }: Evidence): string => `${channel} ${nominal_Hz}`;

/** Readings that say nothing about power. */
const WORTHLESS: readonly FlagCode[] = ['no-tone', 'gap-in-capture', 'clipped-capture'];
/** A crossing between two readings this close counts as found, the rest is interpolated: the bracket of a climb, doubled. */
const FOUND_dB = 0.1;

const BY_CLIPPING = 'by the rule that no unit clips more abruptly than an ideal clipper';

/** A reading with the point it was taken at. */
interface Look {
  readonly point: Point;
  readonly reading: Reading;
  /** Percent, of the measure asked for. */
  readonly distortion: number;
}

/**
 * All that a run shows about the power within a distortion limit: for every step, channel and frequency one piece.
 * A power that a step found at this very limit is taken as it is; else the readings are used: the last crossing
 * between two of them, or how far the limit was kept or from where on it was not. Between a reading and the limit the
 * power is taken to grow as little as that of an ideal clipper does.
 */
export const evidenceOf = (
  record: RunRecord,
  limit_percent: number,
  measure: DistortionMeasure,
): Evidence[] => evidenceAt(record, [limit_percent], measure)[0]!;

/** The same for several limits, for each a list: the readings are gone through once. */
export function evidenceAt(
  record: RunRecord,
  limits_percent: readonly number[],
  measure: DistortionMeasure,
): Evidence[][] {
  const groups = groupLooks(looksOf(record, measure));
  return limits_percent.map((limit_percent) =>
    groups.flatMap((looks) => {
      const evidence = pieceOf(record, looks, limit_percent, measure);
      return evidence ? [evidence] : [];
    }),
  );
}

function looksOf(record: RunRecord, measure: DistortionMeasure): Look[] {
  const points = new Map(record.points.map((point) => [point.number, point]));
  return record.readings.flatMap((reading) => {
    const point = points.get(reading.point);
    const distortion = measure === 'THD' ? reading.thd_percent : reading.thdn_percent;
    const useless = reading.power_W <= 0 || reading.flags.some((flag) => WORTHLESS.includes(flag));
    return !point || distortion === null || useless ? [] : [{ point, reading, distortion }];
  });
}

function groupLooks(looks: readonly Look[]): Look[][] {
  const groups = new Map<string, Look[]>();
  const settings = new Map<Point, string>();
  for (const look of looks) {
    const { step, nominal_Hz, load_ohm, driven } = look.point;
    const setting = settings.get(look.point) ?? JSON.stringify([nominal_Hz, load_ohm, driven, step]);
    settings.set(look.point, setting);
    const key = `${look.reading.channel} ${setting}`;
    const group = groups.get(key);
    if (group) group.push(look);
    else groups.set(key, [look]);
  }
  return [...groups.values()];
}

/** What least, most and the rest come from. */
type Shown = Pick<Evidence, 'least_W' | 'most_W' | 'kept_W' | 'inferred' | 'share' | 'budget'> & {
  readonly looks: readonly Look[];
};

function pieceOf(
  record: RunRecord,
  looks: readonly Look[],
  limit_percent: number,
  measure: DistortionMeasure,
): Evidence | null {
  const { point, reading } = looks[0]!;
  const held = point.stepKind === 'hold' || point.stepKind === 'warm-up';
  const found = measure === 'THD+N' && !held ? foundBy(record, looks, limit_percent) : null;
  const shown = found ?? (held ? heldThrough(looks, limit_percent) : readOff(looks, limit_percent));
  if (shown === null) return null;
  const hold = record.results.find(
    (result) => result.kind === 'hold' && result.step === point.step && result.channel === reading.channel,
  );
  return {
    step: point.step,
    stepKind: point.stepKind,
    channel: reading.channel,
    driven: point.driven,
    load_ohm: point.load_ohm,
    nominal_Hz: point.nominal_Hz,
    frequency_Hz: point.frequency_Hz,
    limit_percent,
    least_W: shown.least_W,
    most_W: shown.most_W,
    kept_W: shown.kept_W,
    inferred: shown.inferred,
    share: shown.share,
    blind: shown.looks.some((look) => look.reading.flags.includes('harmonics-out-of-band')),
    changed: shown.looks.some((look) => look.reading.flags.includes('not-as-before')),
    seconds: hold?.kind === 'hold' ? hold.seconds : null,
    tried_W: Math.max(...looks.map((look) => Math.max(look.reading.power_W, look.point.asked_W ?? 0))),
    lowest_W: Math.min(...looks.map((look) => look.reading.power_W)),
    passing: looks
      .filter((look) => bestOf(look) > limit_percent)
      .map((look) => ({ power_W: look.reading.power_W, point: look.point.number })),
    points: shown.looks.map((look) => look.point.number),
    budget: shown.budget,
  };
}

type Found = PowerAtThdn | CeilingResult;

function foundBy(record: RunRecord, looks: readonly Look[], limit_percent: number): Shown | null {
  const { point, reading } = looks[0]!;
  const result = record.results.find(
    (one): one is Found =>
      (one.kind === 'power-at-thdn' || one.kind === 'ceiling') &&
      one.step === point.step &&
      one.channel === reading.channel &&
      one.load_ohm === point.load_ohm &&
      Math.abs(one.frequency_Hz / point.frequency_Hz - 1) < 1e-6 &&
      Math.abs(one.threshold_percent / limit_percent - 1) < 1e-9,
  );
  if (!result || result.power_W === null) return null;
  const { power_W, uncertainty_W, budgets } = result;
  const rising = rise(looks);
  const above = rising.findIndex((look) => look.reading.power_W >= power_W);
  return {
    least_W: power_W,
    most_W: power_W,
    kept_W: power_W,
    inferred: '',
    share: uncertainty_W === null ? null : uncertainty_W / power_W,
    budget: budgets?.find(({ quantity }) => quantity === 'power') ?? null,
    looks: above > 0 ? rising.slice(above - 1, above + 1) : rising.slice(-1),
  };
}

const rise = (looks: readonly Look[]): Look[] =>
  looks
    .filter((look) => look.reading.power_W > 0 && look.distortion >= 0)
    .sort((a, b) => a.reading.power_W - b.reading.power_W);

/** A level that was held: its worst reading counts, since it is the unit warm. */
function heldThrough(looks: readonly Look[], limit_percent: number): Shown {
  const passed = looks.filter((look) => look.distortion > limit_percent);
  if (passed.length > 0) {
    const first = passed.reduce((a, b) => (b.reading.power_W < a.reading.power_W ? b : a));
    return shownBy(null, first, limit_percent);
  }
  const worst = Math.max(...looks.map((look) => look.distortion));
  const least = looks.reduce((a, b) => (b.reading.power_W < a.reading.power_W ? b : a));
  return shownBy({ ...least, distortion: worst }, null, limit_percent);
}

/** Rising in level: the last crossing, or as far as was tried. */
function readOff(looks: readonly Look[], limit_percent: number): Shown | null {
  const rising = rise(looks);
  const last = rising.findLastIndex((look) => look.distortion <= limit_percent);
  // Above the limit from the start, with noise falling below it never: the lowest reading bounds it from above.
  if (last < 0) return shownBy(null, rising[0]!, limit_percent);
  const [low, high] = [rising[last]!, rising[last + 1] ?? null];
  if (high === null) return shownBy(low, null, limit_percent);
  const apart_dB = decibelsOfPower(high.reading.power_W / low.reading.power_W);
  return apart_dB <= FOUND_dB ? between(low, high, limit_percent) : shownBy(low, high, limit_percent);
}

function between(low: Look, high: Look, limit_percent: number): Shown {
  const share = logRatio(limit_percent, low.distortion) / logRatio(high.distortion, low.distortion);
  const power_W = low.reading.power_W * (high.reading.power_W / low.reading.power_W) ** share;
  return {
    ...uncertain(low),
    least_W: power_W,
    most_W: power_W,
    kept_W: power_W,
    inferred: '',
    looks: [low, high],
  };
}

/** A distortion of exactly 0 has no logarithm; nothing real is below this. */
const LEAST_PERCENT = 1e-12;
const logRatio = (a: number, b: number): number => Math.log(a / Math.max(b, LEAST_PERCENT));

/** A reading whose own uncertainty reaches over the limit bounds nothing. */
function shownBy(kept: Look | null, passed: Look | null, limit_percent: number): Shown {
  const keeps = kept && worstOf(kept) <= limit_percent;
  const passes = passed && bestOf(passed) > limit_percent;
  const least_W = keeps ? kept.reading.power_W * leastGain(worstOf(kept), limit_percent) : null;
  const most_W = passes ? passed.reading.power_W / leastGain(limit_percent, bestOf(passed)) : null;
  const looks = [kept, passed].filter((look) => look !== null);
  const crossed = least_W !== null && most_W !== null && least_W > most_W;
  return {
    ...uncertain(looks[0]!),
    least_W: crossed ? kept!.reading.power_W : least_W,
    most_W: crossed ? passed!.reading.power_W : most_W,
    kept_W: keeps ? kept.reading.power_W : null,
    inferred: crossed ? '' : BY_CLIPPING,
    looks,
  };
}

/** The distortion with its uncertainty on the side that makes the least of the reading. */
const worstOf = ({ distortion, reading }: Look): number =>
  distortion + (reading.thdn_uncertainty_percent ?? 0);
const bestOf = ({ distortion, reading }: Look): number =>
  Math.max(0, distortion - (reading.thdn_uncertainty_percent ?? 0));

function uncertain({ reading }: Look): Pick<Shown, 'share' | 'budget'> {
  const { uncertainty_W, power_W } = reading;
  return { share: uncertainty_W === null ? null : uncertainty_W / power_W, budget: null };
}

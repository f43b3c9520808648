import type { Band } from '../../measure/analysis.js';
import type { Budget } from '../../measure/budget.js';
import type { FlagCode } from '../../measure/flags.js';
import type { Interval } from '../../record/finding.js';
import { type Finding, numberOf } from '../../record/finding.js';
import { findingsOf } from '../../record/findings-of.js';
import type { Point, RunRecord } from '../../record/run-record.js';
import { voltageRatio } from '../../units/decibel.js';
import { frequencyWords } from '../../units/nominal-frequency.js';
import { type Conflict, conflictOf, SAME_POWER } from './conflict.js';
import { exceededBelow } from './exceeded-below.js';
import { comesBack, follows, type StoppedFollowing } from './following.js';
import { heldThrough, type Reach, readOff, type Shown } from './read-off.js';
import {
  byDrive,
  type DistortionMeasure,
  exceeds,
  grouped,
  keeps,
  settingKey,
  type Trial,
  trialsOf,
} from './trials.js';

/** What a run shows of the highest power that one channel keeps within a distortion limit, at one setting, by one step. */
export interface Evidence {
  readonly step: string;
  readonly stepKind: Point['stepKind'];
  readonly channel: number;
  readonly driven: readonly number[];
  readonly load_ohm: number;
  /** Of the load at the reading that it rests on, as warm as it was. */
  readonly measured_ohm: number;
  readonly nominal_Hz: number;
  readonly frequency_Hz: number;
  readonly limit_percent: number;
  /** The limit is kept at least up to here; null when it was never kept. */
  readonly least_W: number | null;
  /** The limit is not kept beyond here; null when nothing tells. The same as `least_W` where it was found. */
  readonly most_W: number | null;
  /** The highest power at which the limit was read to be kept, or found: `least_W` without what is inferred. */
  readonly kept_W: number | null;
  /** Where least and most come from when they are not what was read: the clipping model, in words; else empty. */
  readonly inferred: string;
  /** Expanded uncertainty over the power; null when not stated. */
  readonly share: number | null;
  /** Gain of the unit, interface output to load, and the interface output at the reading that it rests on. */
  readonly gain_dB: number;
  readonly input_V: number;
  /** The measuring band of the readings that it rests on. */
  readonly band_Hz: Band;
  /** Flags of the readings that it rests on. */
  readonly flags: readonly FlagCode[];
  /** Output stopped following the drive. */
  readonly stopped: StoppedFollowing | null;
  /** Stretches of lower power at this setting, by whatever step, in which the limit is exceeded. */
  readonly exceeded_below: readonly Interval[];
  /** Another step found the contrary at this very setting; null where they agree. */
  readonly conflict: Conflict | null;
  /** The limit was exceeded at every level, and no dip between two of them can have kept it. */
  readonly never_kept: boolean;
  /** How long the level was held; null except for a hold. */
  readonly seconds: number | null;
  /** The highest power that was delivered. */
  readonly delivered_W: number;
  /** The highest power that was requested or, by the gain at lower levels, driven for; not less than `delivered_W`. */
  readonly tried_W: number;
  /** Lowest power read. */
  readonly lowest_W: number;
  /** Readings that exceed the limit for certain, at whatever level. */
  readonly passing: readonly { readonly power_W: number; readonly point: number }[];
  /** Points that it rests on. */
  readonly points: readonly number[];
  readonly budget: Budget | null;
}

/** Whether the power at the limit itself was found. */
export const isFound = ({ least_W, most_W }: Pick<Evidence, 'least_W' | 'most_W'>): boolean =>
  least_W !== null && least_W === most_W;

/** The channel and the nominal frequency of a piece, as a key: a hold at 8 kHz and a sweep in thirds of an octave meet there. */
export const placeOf = ({ channel, nominal_Hz }: Pick<Evidence, 'channel' | 'nominal_Hz'>): string =>
  `${channel} ${frequencyWords(nominal_Hz)}`;

const BY_CLIPPING = 'by the rule that no unit clips more abruptly than an ideal clipper';

/**
 * All that a run shows about the power within a distortion limit: for every step, channel and frequency one piece. A power
 * that a step found at this very limit is taken as it is, unless a reading of the same step contradicts it; else the
 * readings are used. Every piece knows what other steps read at its setting.
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
  const trials = trialsOf(record, measure);
  const places = grouped(trials, settingKey).map((own) => grouped(own, ({ point }) => point.step));
  const ground: EvidenceGround = { findings: powersByOwner(record), reach: reachOf(trials), measure };
  return limits_percent.map((limit) => places.flatMap((visits) => piecesAt(ground, visits, limit)));
}

interface EvidenceGround {
  /** Powers that were found, by step and channel. */
  readonly findings: ReadonlyMap<string, readonly Finding[]>;
  readonly reach: ReadonlyMap<string, Reach>;
  readonly measure: DistortionMeasure;
}

const ownerOf = (step: string, channel: number | null): string => `${channel} ${step}`;

function powersByOwner(record: RunRecord): Map<string, Finding[]> {
  const found = findingsOf(record).filter(
    (finding) =>
      (finding.quantity === 'max-power' && finding.bound === 'found' && numberOf(finding) !== null) ||
      (finding.quantity === 'power' && finding.terms.seconds !== undefined),
  );
  const groups = grouped(found, ({ setting }) => ownerOf(setting.step, setting.channel));
  return new Map(groups.map((group) => [ownerOf(group[0]!.setting.step, group[0]!.setting.channel), group]));
}

const reachKey = ({ point: { load_ohm, driven }, reading: { channel } }: Trial): string =>
  `${channel} ${load_ohm} ${driven.join()}`;

/** What each channel was seen to deliver in each load with each set of driven channels, while it followed the drive. */
function reachOf(trials: readonly Trial[]): Map<string, Reach> {
  const reach = new Map<string, Reach>();
  for (const visit of grouped(trials, (trial) => `${settingKey(trial)} ${trial.point.step}`)) {
    const gain_dB = Math.max(...visit.map(({ reading }) => reading.gain_dB));
    const following = visit.filter((trial) => follows(trial, gain_dB));
    const key = reachKey(visit[0]!);
    const before = reach.get(key)?.delivered_W ?? 0;
    reach.set(key, {
      delivered_W: Math.max(before, ...following.map(({ reading }) => reading.power_W)),
    });
  }
  return reach;
}

const driveOf = ({ reading: { gain_dB, fundamental_V } }: Trial) => ({
  gain_dB,
  input_V: fundamental_V / voltageRatio(gain_dB),
});

const HELD: ReadonlySet<Point['stepKind']> = new Set(['hold', 'warm-up']);

/** The pieces of one setting, one a step that was there. */
function piecesAt(
  ground: EvidenceGround,
  visits: readonly (readonly Trial[])[],
  limit_percent: number,
): Evidence[] {
  const all = visits.flat();
  const conflict = visits.length > 1 ? conflictOf(visits, limit_percent) : null;
  const highest_W = Math.max(
    0,
    ...all.filter((trial) => keeps(trial, limit_percent)).map(({ reading }) => reading.power_W),
  );
  return visits.map((trials): Evidence => {
    const shown = shownBy(ground, trials, limit_percent);
    const { point, reading } = trials[0]!;
    // A power that another step still keeps the limit at is no upper bound.
    const sure_W = shown.most_W === null ? 0 : shown.most_W * (1 + Math.max(shown.share ?? 0, SAME_POWER));
    const disproved =
      shown.most_W !== null &&
      (isFound(shown) ? conflict === null && sure_W < highest_W : shown.most_W < highest_W);
    const most_W = disproved && !HELD.has(point.stepKind) ? null : shown.most_W;
    const inferred = isFound(shown) || (shown.least_W === shown.kept_W && most_W === null) ? '' : BY_CLIPPING;
    return {
      ...{ step: point.step, stepKind: point.stepKind, channel: reading.channel, driven: point.driven },
      ...{ load_ohm: point.load_ohm, nominal_Hz: point.nominal_Hz, frequency_Hz: point.frequency_Hz },
      ...{ limit_percent, least_W: shown.least_W, most_W, kept_W: shown.kept_W, inferred },
      ...{ share: shown.share, budget: shown.budget, stopped: shown.stopped, conflict },
      never_kept: shown.never_kept,
      ...driveOf(shown.trials[0]!),
      measured_ohm: shown.trials[0]!.reading.load_measured_ohm,
      band_Hz: shown.trials[0]!.reading.band_Hz,
      flags: flagsOf(shown, trials),
      exceeded_below: exceededBelow(visits, limit_percent),
      seconds: secondsOf(ground, trials),
      delivered_W: Math.max(...trials.map((trial) => trial.reading.power_W)),
      tried_W: Math.max(
        shown.stopped?.linear_W ?? 0,
        ...trials.map((trial) => Math.max(trial.reading.power_W, trial.point.asked_W ?? 0)),
      ),
      lowest_W: Math.min(...trials.map((trial) => trial.reading.power_W)),
      passing: trials
        .filter((trial) => exceeds(trial, limit_percent))
        .map((trial) => ({ power_W: trial.reading.power_W, point: trial.point.number })),
      points: shown.trials.map((trial) => trial.point.number),
    };
  });
}

/** Of a unit that limits, and follows again at less drive, less gain at a higher level is no sign of a change. */
function flagsOf({ trials, stopped }: Shown, all: readonly Trial[]): FlagCode[] {
  const flags = new Set(trials.flatMap(({ reading }) => reading.flags));
  if (flags.has('not-as-before') && stopped !== null && comesBack(all)) flags.delete('not-as-before');
  return [...flags];
}

function shownBy(ground: EvidenceGround, trials: readonly Trial[], limit_percent: number): Shown {
  const reach = ground.reach.get(reachKey(trials[0]!))!;
  if (HELD.has(trials[0]!.point.stepKind)) return heldThrough(trials, limit_percent, reach);
  const read = readOff(trials, limit_percent, reach);
  const found = ground.measure === 'THD+N' ? foundBy(ground, trials, limit_percent) : null;
  return found === null ? read : { ...found, stopped: read.stopped };
}

function foundBy(
  ground: EvidenceGround,
  trials: readonly Trial[],
  limit_percent: number,
): Omit<Shown, 'stopped'> | null {
  const { point, reading } = trials[0]!;
  const finding = ground.findings
    .get(ownerOf(point.step, reading.channel))
    ?.find(
      ({ quantity, stimulus, terms }) =>
        quantity === 'max-power' &&
        stimulus.nominal_Hz === point.nominal_Hz &&
        Math.abs((terms.threshold_percent ?? 0) / limit_percent - 1) < 1e-9,
    );
  const power_W = finding ? numberOf(finding) : null;
  if (!finding || power_W === null) return null;
  const share = finding.uncertainty === null ? null : finding.uncertainty / power_W;
  // What the step itself read to keep the limit further up speaks against what it found.
  const above_W = power_W * (1 + (share ?? 0));
  if (trials.some((trial) => trial.reading.power_W > above_W && keeps(trial, limit_percent))) return null;
  const rising = byDrive(trials);
  const over = rising.findIndex((trial) => trial.reading.power_W >= power_W);
  return {
    ...{ least_W: power_W, most_W: power_W, kept_W: power_W, share, never_kept: false },
    budget: finding.budgets.find(({ quantity }) => quantity === 'power') ?? null,
    trials: over > 0 ? rising.slice(over - 1, over + 1) : rising.slice(-1),
  };
}

function secondsOf({ findings }: EvidenceGround, trials: readonly Trial[]): number | null {
  const { point, reading } = trials[0]!;
  const held = findings
    .get(ownerOf(point.step, reading.channel))
    ?.find(({ quantity, terms }) => quantity === 'power' && terms.seconds !== undefined);
  return held?.terms.seconds ?? null;
}

import { decibelsOfVoltage } from '../../units/decibel.js';
import { type Evidence, isFound } from '../bounds/evidence.js';
import { requestedInVain } from '../bounds/following.js';
import { grouped, settingKey, type Trial } from '../bounds/trials.js';
import { TRADE_RULE } from '../protocol/trade-rule.js';
import type { Conclusion } from './conclusion.js';
import { type ConclusionGround, conclude, placeAt, settingOf } from './conclusion-ground.js';
import { becauseOf, dirtierChannels, type Outlier, weakerChannels } from './out-of-line.js';

/** Output this far behind the drive is told. */
const BEHIND_dB = 0.5;
/** Channels whose drive at the limit differs by less are at one level, if their gains differ by more. */
const ONE_LEVEL_dB = 0.1;
const OTHER_GAIN_dB = 0.3;
const MIDDLE_Hz = 1000;

/** What endangers or invalidates the figures of a run, the worst first. */
export function warningsOf(ground: ConclusionGround): Conclusion[] {
  const dirtier = dirtierChannels(ground.trials, ground.evidence.flat());
  const percentOf = ({ out }: Outlier) => (out.by === 'thdn' ? out.own_percent : 0);
  // One sentence a channel about its distortion: the one with the higher figure.
  const exceeded = exceededBelow(ground).filter(
    ({ place, worst }) =>
      !dirtier.some((one) => one.channel === place.channel && percentOf(one) > worst.percent),
  );
  const outliers = dirtier.filter(
    ({ channel }) => !exceeded.some((one) => one.role === 'warning' && one.place.channel === channel),
  );
  return [
    ...exceeded.filter(({ role }) => role === 'warning'),
    ...outliers.map((one) => outlier(ground, one)),
    ...weakerChannels(ground.evidence.flat()).map((one) => outlier(ground, one)),
    ...offNominal(ground),
    ...sourceClips(ground),
    ...stoppedFollowing(ground),
    ...contradictory(ground),
    ...alikeAsOne(exceeded.filter(({ role }) => role !== 'warning')),
  ];
}

/** Of channels with the same mild flaw one is told, the worst, and the others are named. */
const alikeAsOne = (mild: readonly ExceededBelow[]): Conclusion[] =>
  grouped(mild, ({ because, limit_percent }) => `${because} ${limit_percent}`).map((own) => {
    const worst = own.reduce((a, b) => (b.worst.percent > a.worst.percent ? b : a));
    const alike = own.filter((one) => one !== worst).map(({ place }) => place.channel);
    const { role, points, steps } = worst;
    return conclude(role, { ...worst, alike }, { points, steps });
  });

function outlier(
  ground: ConclusionGround,
  { channel, against, out, nominal_Hz, points, steps }: Outlier,
): Conclusion {
  const piece = ground.record.points.find(({ number }) => number === points[0])!;
  const place = placeAt(ground, { ...piece, channel, nominal_Hz });
  return conclude('warning', { code: 'out-of-line', place, against, out }, { points, steps });
}

/** One place for each: the first of several frequencies that say the same, that nearest to 1 kHz. */
const nearest = (pieces: readonly Evidence[]): Evidence => pieces.reduce((a, b) => (off(b) < off(a) ? b : a));
const off = ({ nominal_Hz }: Evidence) => Math.abs(Math.log(nominal_Hz / MIDDLE_Hz));

type ExceededBelow = Extract<Conclusion, { readonly code: 'exceeded-below' }>;

/** Distortion this many times the limit is told first, at however low a level. */
const GROSS = 3;

/** The worst stretch of each channel below its maximum power, at the strictest limit. Noise at low level is no fault. */
function exceededBelow(ground: ConclusionGround): ExceededBelow[] {
  const pieces = ground.evidence[0]!.filter(({ exceeded_below }) => exceeded_below.length > 0);
  return grouped(pieces, ({ channel }) => `${channel}`).flatMap((own): ExceededBelow[] => {
    const piece = nearest(own);
    const { limit_percent, exceeded_below: intervals } = piece;
    const trials = ground.trials.filter((trial) => settingKey(trial) === keyOf(piece));
    const within = trials.filter(
      ({ reading, distortion }) =>
        distortion > limit_percent &&
        intervals.some(([low_W, high_W]) => reading.power_W >= low_W && reading.power_W <= high_W),
    );
    if (within.length === 0) return [];
    const worst = within.reduce((a, b) => (b.distortion > a.distortion ? b : a));
    const because = becauseOf(worst, trials);
    const unfit = because !== 'noise' && intervals.some(([, high_W]) => high_W >= TRADE_RULE.from_W);
    const tells = unfit || (because !== 'noise' && worst.distortion >= GROSS * limit_percent);
    return [
      conclude(
        tells ? 'warning' : 'beside',
        {
          ...{ code: 'exceeded-below', place: placeAt(ground, piece), limit_percent, intervals, because },
          ...{ unfit, alike: [], worst: { power_W: worst.reading.power_W, percent: worst.distortion } },
        },
        { points: within.map(({ point }) => point.number), steps: within.map(({ point }) => point.step) },
      ) as ExceededBelow,
    ];
  });
}

const keyOf = ({ channel, nominal_Hz, load_ohm, driven }: Evidence): string =>
  `${channel} ${nominal_Hz} ${load_ohm} ${driven.join()}`;

/** Loads that are off their nominal value, each once, with the ohms of its lowest reading, when it was coldest. */
function offNominal({ trials }: ConclusionGround): Conclusion[] {
  const flagged = trials.filter(({ reading }) => reading.flags.includes('load-off-nominal'));
  return grouped(flagged, ({ reading }) => `${reading.channel} ${reading.load_ohm}`).map((own) => {
    const { reading } = own.reduce((a, b) => (b.reading.power_W < a.reading.power_W ? b : a));
    const { channel, load_ohm, load_measured_ohm: measured_ohm } = reading;
    return conclude(
      'warning',
      { code: 'load-off-nominal', channel, load_ohm, measured_ohm },
      { points: own.map(({ point }) => point.number), steps: own.map(({ point }) => point.step) },
    );
  });
}

/** All channels of a climb reach the limit at one drive although their gains differ. */
function sourceClips(ground: ConclusionGround): Conclusion[] {
  const climbs = grouped(ground.evidence.flat().filter(isFound), ({ step, nominal_Hz, limit_percent }) =>
    JSON.stringify([step, nominal_Hz, limit_percent]),
  );
  const clipped = climbs.find((pieces) => {
    const spread = (values: readonly number[]) => Math.max(...values) - Math.min(...values);
    return (
      pieces.length > 1 &&
      spread(pieces.map(({ input_V }) => decibelsOfVoltage(input_V))) <= ONE_LEVEL_dB &&
      spread(pieces.map(({ gain_dB }) => gain_dB)) >= OTHER_GAIN_dB
    );
  });
  if (!clipped) return [];
  const [first] = clipped;
  return [
    conclude(
      'warning',
      {
        ...{ code: 'source-clips', setting: settingOf(ground, first!), input_V: first!.input_V },
        channels: clipped.map(({ channel }) => channel),
      },
      { points: clipped.flatMap(({ points }) => points), steps: [first!.step] },
    ),
  ];
}

/** For each channel where output lies furthest behind the drive. */
function stoppedFollowing(ground: ConclusionGround): Conclusion[] {
  const found = [...stoppedAt(ground), ...inVainAt(ground)].filter(
    ({ stopped }) => stopped.behind_dB >= BEHIND_dB,
  );
  return grouped(found, ({ place }) => `${place.channel}`).map((own) => {
    const { place, stopped, step } = own.reduce((a, b) =>
      b.stopped.behind_dB > a.stopped.behind_dB ? b : a,
    );
    return conclude(
      'warning',
      { code: 'stopped-following', place, stopped },
      { points: stopped.points, steps: [step] },
    );
  });
}

const stoppedAt = (ground: ConclusionGround) =>
  ground.evidence[0]!.flatMap((piece) =>
    piece.stopped === null
      ? []
      : [{ place: placeAt(ground, piece), stopped: piece.stopped, step: piece.step }],
  );

const inVainAt = (ground: ConclusionGround) =>
  ground.trials.flatMap((trial: Trial) => {
    const stopped = requestedInVain(trial);
    const { point, reading } = trial;
    return stopped === null
      ? []
      : [{ place: placeAt(ground, { ...point, channel: reading.channel }), stopped, step: point.step }];
  });

function contradictory(ground: ConclusionGround): Conclusion[] {
  const pieces = ground.evidence.flat().filter(({ conflict }) => conflict !== null);
  return grouped(pieces, ({ channel, limit_percent }) => `${channel} ${limit_percent}`).map((own) => {
    const piece = nearest(own);
    const { limit_percent } = piece;
    const conflict = piece.conflict!;
    return conclude(
      'warning',
      { code: 'contradictory', place: placeAt(ground, piece), limit_percent, conflict },
      {
        points: [conflict.kept.point, conflict.exceeded.point],
        steps: [conflict.kept.step, conflict.exceeded.step],
      },
    );
  });
}

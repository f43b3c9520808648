import { decibelsOfVoltage } from '../units/decibel.js';
import type { Conclusion } from './conclusion.js';
import { conclude, type Ground, placeAt, settingOf } from './conclusion-ground.js';
import { type Evidence, isFound } from './evidence.js';
import { requestedInVain } from './following.js';
import { groupLooks, type Look, settingKey } from './looks.js';
import { becauseOf, dirtierChannels, type Outlier, weakerChannels } from './out-of-line.js';

/** Output this far behind the drive is told. */
const BEHIND_dB = 0.5;
/** Channels whose drive at the limit differs by less are at one level, if their gains differ by more. */
const ONE_LEVEL_dB = 0.1;
const OTHER_GAIN_dB = 0.3;
const MIDDLE_Hz = 1000;

/** What endangers or invalidates the figures of a run, the worst first. */
export function warningsOf(ground: Ground): Conclusion[] {
  const exceeded = exceededBelow(ground);
  const told = new Set(
    exceeded.flatMap((one) =>
      one.code === 'exceeded-below' && one.role === 'warning' ? [one.place.channel] : [],
    ),
  );
  const dirtier = dirtierChannels(ground.looks, ground.evidence.flat());
  return [
    ...exceeded.filter(({ role }) => role === 'warning'),
    ...dirtier.filter(({ channel }) => !told.has(channel)).map((one) => outlier(ground, one)),
    ...weakerChannels(ground.evidence.flat()).map((one) => outlier(ground, one)),
    ...sourceClips(ground),
    ...stoppedFollowing(ground),
    ...contradictory(ground),
    ...exceeded.filter(({ role }) => role !== 'warning'),
  ];
}

function outlier(ground: Ground, { channel, against, out, nominal_Hz, points, steps }: Outlier): Conclusion {
  const piece = ground.record.points.find(({ number }) => number === points[0])!;
  const place = placeAt(ground, { ...piece, channel, nominal_Hz });
  return conclude('warning', { code: 'out-of-line', place, against, out }, { points, steps });
}

/** One place for each: the first of several frequencies that say the same, that nearest to 1 kHz. */
const nearest = (pieces: readonly Evidence[]): Evidence => pieces.reduce((a, b) => (off(b) < off(a) ? b : a));
const off = ({ nominal_Hz }: Evidence) => Math.abs(Math.log(nominal_Hz / MIDDLE_Hz));

/** The worst stretch of each channel below its maximum power, at the strictest limit. Noise at low level is no fault. */
function exceededBelow(ground: Ground): Conclusion[] {
  const pieces = ground.evidence[0]!.filter(({ exceeded_below }) => exceeded_below.length > 0);
  return groupLooks(pieces, ({ channel }) => `${channel}`).map((own): Conclusion => {
    const piece = nearest(own);
    const looks = ground.looks.filter((look) => settingKey(look) === keyOf(piece));
    const within = looks.filter(({ reading }) =>
      piece.exceeded_below.some(([low_W, high_W]) => reading.power_W >= low_W && reading.power_W <= high_W),
    );
    const worst = within.reduce((a, b) => (b.distortion > a.distortion ? b : a));
    const because = becauseOf(worst, looks);
    return conclude(
      because === 'noise' ? 'beside' : 'warning',
      {
        ...{ code: 'exceeded-below', place: placeAt(ground, piece), limit_percent: piece.limit_percent },
        ...{ intervals: piece.exceeded_below, because },
        worst: { power_W: worst.reading.power_W, percent: worst.distortion },
      },
      { points: within.map(({ point }) => point.number), steps: within.map(({ point }) => point.step) },
    );
  });
}

const keyOf = ({ channel, nominal_Hz, load_ohm, driven }: Evidence): string =>
  `${channel} ${nominal_Hz} ${load_ohm} ${driven.join()}`;

/** All channels of a climb reach the limit at one drive although their gains differ. */
function sourceClips(ground: Ground): Conclusion[] {
  const climbs = groupLooks(ground.evidence.flat().filter(isFound), ({ step, nominal_Hz, limit_percent }) =>
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
function stoppedFollowing(ground: Ground): Conclusion[] {
  const found = [...stoppedAt(ground), ...inVainAt(ground)].filter(
    ({ stopped }) => stopped.behind_dB >= BEHIND_dB,
  );
  return groupLooks(found, ({ place }) => `${place.channel}`).map((own) => {
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

const stoppedAt = (ground: Ground) =>
  ground.evidence[0]!.flatMap((piece) =>
    piece.stopped === null
      ? []
      : [{ place: placeAt(ground, piece), stopped: piece.stopped, step: piece.step }],
  );

const inVainAt = (ground: Ground) =>
  ground.looks.flatMap((look: Look) => {
    const stopped = requestedInVain(look);
    const { point, reading } = look;
    return stopped === null
      ? []
      : [{ place: placeAt(ground, { ...point, channel: reading.channel }), stopped, step: point.step }];
  });

function contradictory(ground: Ground): Conclusion[] {
  const pieces = ground.evidence.flat().filter(({ conflict }) => conflict !== null);
  return groupLooks(pieces, ({ channel, limit_percent }) => `${channel} ${limit_percent}`).map((own) => {
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

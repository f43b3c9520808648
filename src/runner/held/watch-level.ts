import { SamplesLost } from '../../bench/bench-errors.js';
import { type ChannelChain, loadVoltsPerUnit } from '../../calibration/chain.js';
import type { Remark } from '../../record/reasons.js';
import type { Reading } from '../../record/run-record.js';
import type { HeldStep } from '../../sequence/lay-out-held.js';
import type { EnergisedStep } from '../../sequence/plan.js';
import { steady } from '../../signal/stimulus.js';
import { decibelsOfVoltage } from '../../units/decibel.js';
import { analyseByPairs } from '../capture/analyse-by-pairs.js';
import { outputOf } from '../capture/drive.js';
import { aimAt, channelsWithLevel, reachLevel } from '../capture/held-level.js';
import { heatLoads, readPoint } from '../capture/measure-point.js';
import { Collector } from '../capture/settled-capture.js';
import { type Aim, benchPeaks } from '../capture/take-record.js';
import type { StoredPoint } from '../course/earlier-sessions.js';
import { restBefore } from '../course/rest.js';
import { throwIfInterrupted } from '../course/run-end.js';
import type { StepStage } from '../course/walk.js';
import { requireSameUnit } from '../memory/same-unit.js';
import { HoldCourse, type QuickHoldReading, quickHoldReadings } from './hold-course.js';

/** Points kept out of turn, because something got worse, are at most so many times those kept by the clock. */
const MOST_EXTRA = 3;

/** How a level stood. */
export interface Held<Step extends HeldStep> {
  /** With the channels that have a level. */
  readonly stage: StepStage;
  readonly step: Step;
  readonly standing: Standing;
  /** How long it stood, seconds. */
  readonly stood_s: number;
  /** The last record of each measured channel; null when there was none. */
  readonly records: readonly Float64Array[] | null;
}

/**
 * Brings every channel to its level, leaves the drive as it is from then on, and watches for the stated time: every
 * record is looked at, a point is kept every `every_s` and whenever a record is worse than all that were kept. Null when no
 * channel has a level.
 */
export async function watchLevel<Step extends HeldStep & EnergisedStep>(
  whole: StepStage,
  asked: Step,
): Promise<Held<Step> | null> {
  const { walk } = whole;
  const levelled = await channelsWithLevel(walk, asked);
  if (!levelled) return null;
  const { step, powers_W } = levelled;
  const stage = { ...whole, step };
  const stored = walk.stored(step.id);
  const standing =
    stored.length > 0 ? await continuedFrom(stage, step, stored) : await begun(stage, step, powers_W);
  const records = await watch(stage, step, standing);
  return { stage, step, standing, stood_s: walk.at_s() - standing.begun_s, records };
}

/** A hold whose level stands. */
export interface Standing {
  readonly aim: Aim;
  /** One a measured channel. */
  readonly courses: readonly HoldCourse[];
  /** When it was begun, on the run's clock, and when the next point is due. */
  readonly begun_s: number;
  readonly due_s: number;
  /** What its findings must tell. */
  readonly remarks: Remark[];
}

const coursesOf = ({ walk }: StepStage, step: HeldStep) =>
  step.measured.map((channel) => new HoldCourse(walk.chain(channel), step.band === null));

/** Brings every channel to its level and keeps the first point. */
async function begun(stage: StepStage, step: HeldStep, powers_W: readonly number[]): Promise<Standing> {
  const targets = await aimAt(stage, step.tone, powers_W);
  const asked_W = Math.max(...targets.map((target) => target.power_W));
  await restBefore(stage, asked_W, step.seconds);
  const { measured, outputs_V } = await reachLevel(stage, { targets, tone: step.tone, trim: true });
  await stage.walk.keep(measured);
  const records = measured.capture.channels.map(({ samples }) => samples);
  const courses = coursesOf(stage, step);
  quickHoldReadings(records, step.tone).forEach((quick, i) => {
    courses[i]!.keep(quick, measured.readings[i]!);
    courses[i]!.remember(0, quick);
  });
  const { at_s } = measured.point;
  const aim = { tone: step.tone, outputs_V, asked_W };
  return { aim, courses, begun_s: at_s, due_s: at_s + step.every_s, remarks: [] };
}

/** Goes on at the drive of an earlier session, as if there had been no break: what was held counts, the rest is left. */
async function continuedFrom(
  stage: StepStage,
  step: HeldStep,
  stored: readonly StoredPoint[],
): Promise<Standing> {
  const { walk } = stage;
  const [first, last] = [stored[0]!.point, stored.at(-1)!.point];
  const held_s = last.at_s - first.at_s + step.tone.frames / step.tone.rate_Hz;
  const asked_W = last.asked_W ?? 0;
  if (held_s < step.seconds) {
    await requireSameUnit(stage, stored, [step.tone]);
    await restBefore(stage, asked_W, step.seconds - held_s);
  }
  const courses = coursesOf(stage, step);
  for (const { readings } of stored)
    readings.forEach((reading, i) => {
      courses[i]!.keep(quickReadingOf(reading, walk.chain(reading.channel)), reading);
    });
  const outputs_V = stored[0]!.readings.map(outputOf);
  const now_s = walk.at_s();
  // The first record is read in full, as at the beginning of any hold.
  return {
    aim: { tone: step.tone, outputs_V, asked_W },
    courses,
    begun_s: now_s - held_s,
    due_s: now_s,
    remarks: [{ code: 'interrupted', after_s: held_s }],
  };
}

/** What a capture would have told of a stored reading, less the dips within it. */
function quickReadingOf({ voltage_V, thdn_percent, dc_V }: Reading, chain: ChannelChain): QuickHoldReading {
  const volts = loadVoltsPerUnit(chain);
  return { rms: voltage_V / volts, thdn_percent, dc: dc_V / volts, dip_dB: 0 };
}

/** Looks at record after record, without a pause, until the time is over. Hands back the last one; null when there was none. */
async function watch(
  stage: StepStage,
  step: HeldStep,
  standing: Standing,
): Promise<readonly Float64Array[] | null> {
  const { walk, player } = stage;
  walk.progress.enter('stand');
  const { aim, courses, begun_s } = standing;
  const { tone } = aim;
  const record_s = tone.frames / tone.rate_Hz;
  const channels = step.measured.map((channel) => walk.indexOf(channel));
  const peaks = benchPeaks(stage, aim);
  const level_dB = decibelsOfVoltage(Math.max(...peaks));
  const begin = () =>
    new Collector(player, { tone, from: player.set(steady(tone), peaks), channels, currents: true });
  let collector = begin();
  let [due_s, regular, extra, taken] = [standing.due_s, 1, 0, false];
  while (walk.at_s() < begun_s + step.seconds - record_s / 2) {
    const held_s = walk.at_s() - begun_s;
    if (!(await collectRecord(stage, collector, level_dB, held_s / step.seconds))) {
      standing.remarks.push({ code: 'broke-off', after_s: held_s });
      collector = begin();
      continue;
    }
    const quicks = quickHoldReadings(collector.channels, tone);
    taken = true;
    quicks.forEach((quick, i) => {
      courses[i]!.remember(walk.at_s() - begun_s, quick);
    });
    const isDue = walk.at_s() >= due_s;
    const isWorse = extra < MOST_EXTRA * regular && quicks.some((quick, i) => courses[i]!.isWorse(quick));
    if (!isDue && !isWorse) {
      quicks.forEach((quick, i) => {
        courses[i]!.takeQuick(quick);
      });
      const powers = quicks.map((quick, i) => ({
        channel: step.measured[i]!,
        power_W: courses[i]!.powerOf(quick),
      }));
      heatLoads(stage, powers, record_s);
      continue;
    }
    const readings = await keepRecord(stage, aim, collector);
    quicks.forEach((quick, i) => {
      courses[i]!.keep(quick, readings[i]!);
    });
    if (isDue) [due_s, regular] = [due_s + step.every_s, regular + 1];
    else extra += 1;
  }
  return taken ? collector.channels : null;
}

/**
 * Takes the next record, and shows life in its middle and at its end. False, and silence, where the bench says that samples were
 * lost. @throws TooManyDropouts
 */
async function collectRecord(
  { walk, step, player }: StepStage,
  collector: Collector,
  level_dB: number,
  share: number,
): Promise<boolean> {
  const { tone } = collector.asked;
  const half = tone.frames / 2;
  walk.progress.advance(share);
  for (const offset of [0, half]) {
    try {
      await collector.collect(offset, half);
    } catch (error) {
      if (!(error instanceof SamplesLost)) throw error;
      await player.stop();
      walk.guard.countDropout();
      await walk.note('capture', `${error.explanation.what}: the level is played again`);
      return false;
    }
    throwIfInterrupted(walk.request.signal);
    await walk.showProgress(step, tone.nominal_Hz, level_dB);
  }
  return true;
}

/** Analyses the record in full and keeps it as a point. */
async function keepRecord(stage: StepStage, aim: Aim, collector: Collector) {
  const { walk, step } = stage;
  const { channels, currents } = collector.records();
  // The collector goes on with its arrays, and whoever stores the point may take its time.
  const capture = {
    channels: channels.map((samples) => samples.slice()),
    ...(currents ? { currents: currents.map((samples) => samples?.slice() ?? null) } : {}),
    settled: true,
  };
  const analyses = await analyseByPairs(capture.channels, aim.tone, step.band);
  const begun_s = walk.at_s() - aim.tone.frames / aim.tone.rate_Hz;
  const measured = readPoint(stage, { aim, begun_s, capture, analyses });
  await walk.keep(measured);
  return measured.readings;
}

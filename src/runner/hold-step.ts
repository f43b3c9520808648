import type { HoldStep } from '../sequence/plan.js';
import { analyseByPairs } from './analyse-by-pairs.js';
import { aimAt, channelsWithLevel, reachLevel } from './held-level.js';
import { HoldCourse } from './hold-course.js';
import { holdLooks } from './hold-look.js';
import { type Aim, benchPeaks, readPoint, warmLoads } from './measure-point.js';
import { restBefore } from './rest.js';
import { throwIfInterrupted } from './run-end.js';
import { Collector } from './settled-capture.js';
import type { StepStage } from './walk.js';

/** Points kept out of turn, because something got worse, are at most so many times those kept by the clock. */
const MOST_EXTRA = 3;

/**
 * Brings every channel to its level, leaves the drive as it is from then on, and watches for the stated time: every
 * record is looked at, a point is kept every `every_s` and whenever a record is worse than all that were kept. A hold
 * ends with a result a channel; a warm-up leaves its points only.
 */
export async function playHold(whole: StepStage, asked: HoldStep): Promise<void> {
  const { walk } = whole;
  const levelled = await channelsWithLevel(walk, asked);
  if (!levelled) return;
  const { step, powers_W } = levelled;
  const stage = { ...whole, step };
  const targets = await aimAt(stage, step.tone, powers_W);
  const asked_W = Math.max(...targets.map((target) => target.power_W));
  await restBefore(stage, asked_W, step.seconds);
  const { measured, outputs_V } = await reachLevel(stage, targets, step.tone, true);
  await walk.keep(measured);
  const records = measured.capture.channels.map(({ samples }) => samples);
  const courses = step.measured.map((channel) => new HoldCourse(walk.chain(channel), step.band === null));
  holdLooks(records, step.tone).forEach((look, i) => {
    courses[i]!.keep(look, measured.readings[i]!);
  });
  const begun_s = measured.point.at_s;
  await watch(stage, step, { tone: step.tone, outputs_V, asked_W }, courses, begun_s);
  if (step.kind === 'warm-up') return;
  for (const [i, channel] of step.measured.entries()) {
    const result = courses[i]!.resultOf(step, walk.at_s() - begun_s, warmth(stage, channel));
    await walk.emit({ kind: 'result', result });
  }
}

/** Looks at record after record, without a pause, until the time is over. */
async function watch(
  stage: StepStage,
  step: HoldStep,
  aim: Aim,
  courses: readonly HoldCourse[],
  begun_s: number,
): Promise<void> {
  const { walk, player } = stage;
  const { tone } = aim;
  const record_s = tone.frames / tone.rate_Hz;
  const channels = step.measured.map((channel) => walk.indexOf(channel));
  const peaks = benchPeaks(stage, aim);
  const level_dB = 20 * Math.log10(Math.max(...peaks));
  const from = player.set(tone, peaks);
  const collector = new Collector(player, { tone, from, channels, currents: true });
  let [due_s, regular, extra] = [begun_s + step.every_s, 1, 0];
  while (walk.at_s() < begun_s + step.seconds - record_s / 2) {
    await collectRecord(stage, collector, level_dB, (walk.at_s() - begun_s) / step.seconds);
    const looks = holdLooks(collector.channels, tone);
    const isDue = walk.at_s() >= due_s;
    const isWorse = extra < MOST_EXTRA * regular && looks.some((look, i) => courses[i]!.isWorse(look));
    if (!isDue && !isWorse) {
      looks.forEach((look, i) => {
        courses[i]!.look(look);
      });
      const powers = looks.map((look, i) => ({
        channel: step.measured[i]!,
        power_W: courses[i]!.powerOf(look),
      }));
      warmLoads(stage, powers, record_s);
      continue;
    }
    const readings = await keepRecord(stage, aim, collector);
    looks.forEach((look, i) => {
      courses[i]!.keep(look, readings[i]!);
    });
    if (isDue) [due_s, regular] = [due_s + step.every_s, regular + 1];
    else extra += 1;
  }
}

/** Takes the next record, and shows life in its middle and at its end. */
async function collectRecord(
  { walk, step }: StepStage,
  collector: Collector,
  level_dB: number,
  share: number,
): Promise<void> {
  const { tone } = collector.asked;
  const half = tone.frames / 2;
  walk.progress.advance(share);
  for (const offset of [0, half]) {
    await collector.collect(offset, half);
    throwIfInterrupted(walk.request.signal);
    await walk.showProgress(step, tone.frequency_Hz, level_dB);
  }
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

/** How warm the load has become, where the bench file says what a watt does to it. */
function warmth({ walk, step }: StepStage, channel: number): string {
  const load = walk.load(channel, step.load_ohm);
  if (load.heating_K_per_W === 0) return '';
  const rise_K = load.heating_K_per_W * walk.heat.of(channel, load);
  return `load ${rise_K.toFixed(0)} K above the room at the end, by its model`;
}

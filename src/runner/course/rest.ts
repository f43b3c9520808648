import type { CoherentTone } from '../../signal/coherent-tone.js';
import { RunEnd, throwIfInterrupted } from './run-end.js';
import type { StepStage, Walk } from './walk.js';

/** A point takes about this many records, ramps and settling included. */
const RECORDS_PER_POINT = 1.5;
/** A rest is taken in slices, so that an interruption does not wait for its end and progress shows. */
const SLICE_s = 20;

/** Lets the unit and the loads cool for `seconds`; `tick` hears which share of that is over. */
export async function restFor(
  walk: Walk,
  seconds: number,
  tick: (share: number) => Promise<void>,
): Promise<void> {
  const { bench, signal } = walk.request;
  for (let gone_s = 0; gone_s < seconds; ) {
    const slice_s = Math.min(seconds - gone_s, SLICE_s);
    await bench.idle(slice_s, signal);
    throwIfInterrupted(signal);
    walk.heat.cool();
    gone_s += slice_s;
    await tick(gone_s / seconds);
  }
}

/** Rests before a point that would otherwise warm a load past its continuous rating. */
export async function restIfHot(stage: StepStage, power_W: number, tone: CoherentTone): Promise<void> {
  await restBefore(stage, power_W, (RECORDS_PER_POINT * tone.frames) / tone.rate_Hz);
}

/** Whether the loads can take this point right after the one that is being read. */
export function needsNoRest({ walk, step }: StepStage, power_W: number, tone: CoherentTone): boolean {
  const seconds = (2 * RECORDS_PER_POINT * tone.frames) / tone.rate_Hz;
  return step.driven.every((channel) => {
    const load = walk.load(channel, step.load_ohm);
    return walk.heat.restBefore(channel, load, power_W, seconds) === 0;
  });
}

/** Rests until a power may stand for `seconds` without warming a load past its continuous rating. */
export async function restBefore(stage: StepStage, power_W: number, seconds: number): Promise<void> {
  const { walk, step, player } = stage;
  const rests = step.driven.map((channel) =>
    walk.heat.restBefore(channel, walk.load(channel, step.load_ohm), power_W, seconds),
  );
  const rest_s = Math.max(0, ...rests);
  if (rest_s === 0) return;
  const level = `${power_W.toPrecision(3)} W`;
  if (!Number.isFinite(rest_s)) {
    throw new RunEnd('load-limit', `${level} would overheat the load however long it rests`);
  }
  await walk.note('rest', `${Math.ceil(rest_s)} s of rest for the loads before ${level}`);
  await player.stop();
  await restFor(walk, rest_s, async () => undefined);
}

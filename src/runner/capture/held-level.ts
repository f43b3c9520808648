import type { FlagCode } from '../../measure/flags.js';
import type { Reading } from '../../record/run-record.js';
import { channelWords } from '../../sequence/driven-channels.js';
import type { Level } from '../../sequence/level.js';
import type { EnergisedStep } from '../../sequence/plan.js';
import type { CoherentTone } from '../../signal/coherent-tone.js';
import { decibelsOfPower, decibelsOfVoltage, voltageRatio } from '../../units/decibel.js';
import type { MeasuredPoint } from '../course/run-request.js';
import type { StepStage, Walk } from '../course/walk.js';
import { type DrivenChannel, outputFor } from './drive.js';
import { findGain } from './find-gain.js';
import { agreedOutputs, LookAhead, mayFollow } from './look-ahead.js';
import { measurePoint } from './measure-point.js';
import type { NextAim } from './take-record.js';

/** Most by which the drive is raised at any frequency to keep the level that it gave at the gain's frequency. */
const TRIM_dB = 1;
/** A level within this of the one asked for is held. */
const HELD_dB = 0.02;
/** A level further off than this is said not to have been reached. */
const MISSED_dB = 0.1;
const MOST_TRIMS = 3;
/** The gain is probed at a thousandth of the power that is to be held, and then at a tenth. */
const PROBE_SHARE = 1e-3;
const NEARER_SHARE = 0.1;

/** What one channel is to give, and the interface output that should give it. */
export interface Target {
  readonly channel: DrivenChannel;
  readonly power_W: number;
  readonly output_V: number;
}

/** Watts that a level means for each measured channel; null where the climb that it refers to found none. */
export function powersFor(
  walk: Walk,
  { measured, load_ohm }: EnergisedStep,
  level: Level,
): (number | null)[] {
  return measured.map((channel) => {
    if (level.kind === 'power') return level.power_W;
    if (level.kind === 'voltage') return level.voltage_V ** 2 / walk.load(channel, load_ohm).measured_ohm;
    const found_W = walk.found.of(level.climb, channel, level.percent);
    return found_W === null ? null : found_W * level.share;
  });
}

/** A step cut down to the channels that have a level, with that level in watts. */
export interface Levelled<S extends EnergisedStep> {
  readonly step: S;
  /** By the order of the step's `measured`. */
  readonly powers_W: readonly number[];
}

/**
 * Takes out of a step the channels that have no level to be held at, which then stay silent, and says so.
 * Null when no channel is left.
 */
export async function channelsWithLevel<S extends EnergisedStep & { readonly level: Level }>(
  walk: Walk,
  asked: S,
): Promise<Levelled<S> | null> {
  const aims = powersFor(walk, asked, asked.level);
  const without = asked.measured.filter((_, i) => aims[i] === null);
  const kept = (channel: number) => !without.includes(channel);
  const step = {
    ...asked,
    driven: asked.driven.filter(kept),
    measured: asked.measured.filter(kept),
  };
  if (without.length > 0) await walk.note(asked.kind, leftOut(asked, without, step.driven));
  const powers_W = aims.filter((power_W) => power_W !== null);
  return powers_W.length === 0 ? null : { step, powers_W };
}

function leftOut(
  { id, level }: { readonly id: string; readonly level: Level },
  without: readonly number[],
  driven: readonly number[],
): string {
  const why =
    level.kind === 'mark' ? `step ${level.climb} found no power at ${level.percent} %` : 'there is no level';
  if (driven.length === 0) return `step ${id} was left out on every channel: ${why}`;
  return `step ${id} is played without ${channelWords(without)}: ${why} there. It drives ${channelWords(driven)} only`;
}

/** Finds the gain at one tone, and with it the output that should give each channel its level. */
export async function aimAt(
  stage: StepStage,
  tone: CoherentTone,
  powers_W: readonly number[],
): Promise<Target[]> {
  const aims_W = powers_W.map((power_W) => Math.min(power_W, stage.step.most_W));
  const weak = await findGain(stage, tone, PROBE_SHARE * Math.min(...aims_W));
  const channels = await gainNearer(stage, tone, weak, aims_W);
  return channels.map((channel, i) => {
    const power_W = aims_W[i]!;
    return { channel, power_W, output_V: outputFor(channel, power_W) };
  });
}

/**
 * The gain at a tenth of the power: a unit with a crossover fault swallows much of a weak tone, and by the gain of that
 * would be driven far too hard.
 */
async function gainNearer(
  stage: StepStage,
  tone: CoherentTone,
  channels: readonly DrivenChannel[],
  powers_W: readonly number[],
): Promise<readonly DrivenChannel[]> {
  const outputs_V = channels.map((channel, i) => outputFor(channel, NEARER_SHARE * powers_W[i]!));
  const { readings } = await measurePoint(stage, { tone, outputs_V, asked_W: null });
  return channels.map((channel, i) => ({
    ...channel,
    gain: Math.max(channel.gain, readings[i]!.fundamental_V / outputs_V[i]!),
  }));
}

/** A level that has been read, and the interface outputs that gave it. */
export interface HeldPoint {
  readonly measured: MeasuredPoint;
  readonly outputs_V: readonly number[];
  /** Whether every channel gave its level; false also where nobody trimmed. */
  readonly held: boolean;
}

/** One frequency at which a level is to be reached. */
export interface ReachAim {
  readonly targets: readonly Target[];
  readonly tone: CoherentTone;
  /** False leaves the drive as it was aimed. */
  readonly trim: boolean;
  /** A level this near to its target is held; the usual nearness where absent. */
  readonly held_dB?: number;
  /** Outputs to begin with, as another frequency had them; null: as aimed. */
  readonly from_V?: readonly number[] | null;
  /** What comes after this one; null: nothing, or not at once. */
  readonly next?: CoherentTone | null;
}

/**
 * Reads one frequency, trimming each channel's drive until its level is held or its limit is reached.
 *
 * @param ahead of the whole step
 */
export async function reachLevel(
  stage: StepStage,
  aim: ReachAim,
  ahead = new LookAhead<NextAim>(),
): Promise<HeldPoint> {
  const { targets, tone, from_V, next = null } = aim;
  let outputs_V = from_V ?? aimedOutputs(targets);
  const asked_W = Math.max(...targets.map((target) => target.power_W));
  for (let trims = 0; ; trims += 1) {
    const follower = ahead.follower((glimpses) => {
      const found = judged(aim, { outputs_V, trims }, glimpses);
      if (!mayFollow(stage, asked_W, tone)) return null;
      if (found.next_V) return { tone, outputs_V: found.next_V };
      return next && { tone: next, outputs_V: found.held ? outputs_V : aimedOutputs(targets) };
    });
    const measured = await measurePoint(stage, { tone, outputs_V, asked_W }, follower);
    const { next_V, held } = judged(aim, { outputs_V, trims }, measured.readings);
    const planned = ahead.take();
    if (next_V === null) return { measured: withMisses(measured, aim), outputs_V, held };
    outputs_V = planned?.tone === tone ? agreedOutputs(next_V, planned) : next_V;
  }
}

function aimedOutputs(targets: readonly Target[]): number[] {
  return targets.map((target) => target.output_V);
}

/** What a capture tells: the outputs of the next one at this frequency, or null and whether every channel holds its level. */
function judged(
  { targets, trim, held_dB = HELD_dB }: ReachAim,
  { outputs_V, trims }: { readonly outputs_V: readonly number[]; readonly trims: number },
  powers: readonly Pick<Reading, 'power_W'>[],
): { next_V: number[] | null; held: boolean } {
  const next_V = targets.map((target, i) => trimmed(target, outputs_V[i]!, powers[i]!));
  const unchanged = next_V.every(
    (output_V, i) => Math.abs(decibelsOfVoltage(output_V / outputs_V[i]!)) < held_dB / 2,
  );
  if (trim && !unchanged && trims < MOST_TRIMS) return { next_V, held: false };
  const held = powers.every(
    ({ power_W }, i) => Math.abs(decibelsOfPower(power_W / targets[i]!.power_W)) < held_dB,
  );
  return { next_V: null, held: trim && held };
}

/** The output for the next try: towards the target, but no more than the trim above the first aim. */
function trimmed(target: Target, output_V: number, reading: Pick<Reading, 'power_W'>): number {
  const wanted = output_V * Math.sqrt(target.power_W / reading.power_W);
  const most = target.output_V * voltageRatio(TRIM_dB);
  const fullScale_V = target.channel.chain.outputFullScale_Vpk / Math.SQRT2;
  return Math.min(wanted, most, fullScale_V);
}

function withMisses(measured: MeasuredPoint, { targets, trim }: ReachAim): MeasuredPoint {
  const flag: FlagCode = trim ? 'power-not-reached' : 'less-at-same-drive';
  const readings = measured.readings.map((reading, i) => {
    const off_dB = decibelsOfPower(reading.power_W / targets[i]!.power_W);
    return off_dB < -MISSED_dB ? { ...reading, flags: [...reading.flags, flag] } : reading;
  });
  return { ...measured, readings };
}

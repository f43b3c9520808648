import type { Finding } from '../../record/finding.js';
import type { SearchEnd } from '../../record/reasons.js';
import type { Reading } from '../../record/run-record.js';
import {
  commonOutput,
  type DrivenChannel,
  fullScaleOutput,
  mostPowerAsked,
} from '../../runner/capture/drive.js';
import { findGain } from '../../runner/capture/find-gain.js';
import { agreedMove, LookAhead, mayFollow, type NextLevel } from '../../runner/capture/look-ahead.js';
import { measurePoint } from '../../runner/capture/measure-point.js';
import type { Follower } from '../../runner/capture/take-record.js';
import { diagnoseClimb } from '../../runner/causes/diagnose.js';
import { restIfHot } from '../../runner/course/rest.js';
import type { StepStage, Walk } from '../../runner/course/walk.js';
import { levelLimit, maxPowerOf, type Searched } from '../../runner/findings/max-power-of.js';
import { requireSameUnit, storedLevels } from '../../runner/memory/same-unit.js';
import { type ClimbEnd, type ClimbLimits, nextClimbMove } from '../../runner/search/climb-search.js';
import type { LevelSample, ReadSample } from '../../runner/search/crossing-bracket.js';
import { dBW, decibelsOfVoltage, fromDBW } from '../../units/decibel.js';
import { kneeFindings } from './knee-findings.js';
import type { ClimbStep } from './plan.js';
import { markCaptures, riseCaptures, usualEnd_W } from './plan-captures.js';
import { totalPowers } from './total-power.js';

/** Raises the level until the stop rule, refines every crossing, and hands over what was found. */
export async function playClimb(stage: StepStage, step: ClimbStep): Promise<void> {
  const stored = stage.walk.stored(step.id);
  await requireSameUnit(stage, stored, [step.tone]);
  const channels = await findGain(stage, step.tone, step.from_W);
  for (const { chain, gain } of channels) {
    await stage.walk.note(
      'gain',
      `channel ${chain.channel}: gain ${decibelsOfVoltage(gain).toFixed(2)} dB at low level`,
    );
  }
  stage.walk.progress.enter('levels');
  const limits = limitsOf(step, channels);
  const samples: ReadSample[] = storedLevels(stored, channels);
  const concluded = stage.walk.hasFinding('max-power', step.id);
  const ahead = new LookAhead<NextLevel>();
  for (;;) {
    const move = agreedMove(nextClimbMove(samples, limits), ahead.take());
    if (move.kind === 'done' || concluded) {
      const end = move.kind === 'done' ? move.end : 'stop-rule';
      await conclude(stage, step, samples, searchEnd(stage.walk, step, channels, end));
      return;
    }
    const { asked_dBW } = move;
    const follower = ahead.follower((readings) => {
      const next = nextClimbMove([...samples, { asked_dBW, readings }], limits);
      return next.kind === 'play' ? levelAhead(stage, step, channels, next.asked_dBW) : null;
    });
    samples.push({ asked_dBW, readings: await climbTo(stage, step, channels, { asked_dBW, follower }) });
    stage.walk.progress.advance(shareDone(step, samples, limits));
  }
}

/** What the interface can ask for at full scale. */
const playableMost_W = (channels: readonly DrivenChannel[]) =>
  mostPowerAsked(channels, fullScaleOutput(channels));

function limitsOf(step: ClimbStep, channels: readonly DrivenChannel[]): ClimbLimits {
  return {
    from_dBW: dBW(step.from_W),
    most_dBW: dBW(Math.min(step.most_W, playableMost_W(channels))),
    marks_percent: step.marks_percent,
    stop_percent: step.stop_percent,
  };
}

async function climbTo(
  stage: StepStage,
  step: ClimbStep,
  channels: readonly DrivenChannel[],
  { asked_dBW, follower }: { readonly asked_dBW: number; readonly follower: Follower | undefined },
): Promise<readonly Reading[]> {
  const asked_W = fromDBW(asked_dBW);
  await restIfHot(stage, asked_W, step.tone);
  const outputs_V = outputsFor(channels, asked_W);
  const measured = await measurePoint(stage, { tone: step.tone, outputs_V, asked_W }, follower);
  await stage.walk.keep(measured);
  return measured.readings;
}

/** The same output voltage for every channel. */
function outputsFor(channels: readonly DrivenChannel[], asked_W: number): number[] {
  const output_V = commonOutput(channels, asked_W);
  return channels.map(() => output_V);
}

function levelAhead(
  stage: StepStage,
  { tone }: ClimbStep,
  channels: readonly DrivenChannel[],
  asked_dBW: number,
): NextLevel | null {
  const asked_W = fromDBW(asked_dBW);
  if (!mayFollow(stage, asked_W, tone)) return null;
  return { tone, asked_dBW, outputs_V: outputsFor(channels, asked_W) };
}

/** By the captures that a climb still needs: to rise to where units usually end, and to narrow its marks down. */
function shareDone(step: ClimbStep, samples: readonly LevelSample[], limits: ClimbLimits): number {
  const levels = samples.map((sample) => sample.asked_dBW);
  const top = Math.max(...levels);
  const refined = levels.length - 1 - levels.indexOf(top);
  const rest = Math.max(1, markCaptures(step) - refined);
  const most_W = fromDBW(limits.most_dBW);
  const end_W = usualEnd_W({ from_W: step.from_W, most_W });
  const rise = refined === 0 ? riseCaptures(fromDBW(top), end_W, most_W) : 0;
  return samples.length / (samples.length + rise + rest);
}

/** Why the climb went no higher; null where every channel was past the stop, or one far into clipping. */
function searchEnd(
  walk: Walk,
  step: ClimbStep,
  channels: readonly DrivenChannel[],
  end: ClimbEnd,
): SearchEnd | null {
  switch (end) {
    case 'stop-rule':
    case 'far-over':
      return null;
    case 'output-stopped-following':
      return { by: end };
    case 'level-limit':
      return levelLimit(walk, step, playableMost_W(channels) < step.most_W);
    default:
      return end satisfies never;
  }
}

async function conclude(
  stage: StepStage,
  step: ClimbStep,
  samples: readonly ReadSample[],
  end: SearchEnd | null,
): Promise<void> {
  const { walk } = stage;
  const searched: Searched = { tone: step.tone, samples, end };
  const powers: Finding[] = [];
  for (const index of step.measured.keys()) {
    const own = step.marks_percent.flatMap((mark) => maxPowerOf(walk, step, searched, index, mark));
    powers.push(...own);
    for (const finding of [...own, ...kneeFindings(walk, step, samples, index)])
      await walk.emit({ kind: 'finding', finding });
  }
  for (const finding of totalPowers(step, searched, powers)) await walk.emit({ kind: 'finding', finding });
  const captures = [{ tone: step.tone, readings: samples.map((sample) => sample.readings) }];
  walk.progress.enter('causes');
  await diagnoseClimb(stage, captures, step.marks_percent);
}

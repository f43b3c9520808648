import { lastCrossing } from '../../measure/crossing.js';
import { kneeOf, type NoKnee } from '../../measure/knee.js';
import { riseOf } from '../../measure/rise.js';
import type { PowerAtThdn, Result } from '../../record/old-results.js';
import type { Reading } from '../../record/run-record.js';
import {
  commonOutput,
  type DrivenChannel,
  fullScaleOutput,
  mostPowerAsked,
} from '../../runner/capture/drive.js';
import { agreedMove, LookAhead, mayFollow, type NextLevel } from '../../runner/capture/look-ahead.js';
import { measurePoint } from '../../runner/capture/measure-point.js';
import { probeGain } from '../../runner/capture/probe-gain.js';
import type { Follower } from '../../runner/capture/take-record.js';
import { diagnoseClimb } from '../../runner/causes/diagnose.js';
import { restIfHot } from '../../runner/course/rest.js';
import type { ClimbFinding, StepStage, Walk } from '../../runner/course/walk.js';
import { requireSameUnit, storedLevels } from '../../runner/memory/same-unit.js';
import { type ClimbEnd, type ClimbLimits, nextClimbMove } from '../../runner/search/climb-search.js';
import { contradiction, type LevelReading, type LevelSample } from '../../runner/search/crossing-bracket.js';
import { type Curve, crossingBudgets, kneeBudgets } from '../../runner/search/curve-budgets.js';
import { dBW, decibelsOfVoltage, fromDBW } from '../../units/decibel.js';
import { formatQuantity } from '../../units/format.js';
import type { ClimbStep } from './plan.js';
import { markLooks, riseLooks, usualEnd_W } from './plan-looks.js';
import { type ReadSample, sumResults } from './sum-result.js';

/** Raises the level until the stop rule, refines every crossing, and hands over what was found. */
export async function playClimb(stage: StepStage, step: ClimbStep): Promise<void> {
  const stored = stage.walk.stored(step.id);
  await requireSameUnit(stage, stored, [step.tone]);
  const channels = await probeGain(stage, step.tone, step.from_W);
  for (const { chain, gain } of channels) {
    await stage.walk.note(
      'gain',
      `channel ${chain.channel}: gain ${decibelsOfVoltage(gain).toFixed(2)} dB at low level`,
    );
  }
  stage.walk.progress.enter('levels');
  const limits = limitsOf(step, channels);
  const samples: ReadSample[] = storedLevels(stored, channels);
  const concluded = stage.walk.hasResult('power-at-thdn', step.id);
  const ahead = new LookAhead<NextLevel>();
  for (;;) {
    const move = agreedMove(nextClimbMove(samples, limits), ahead.take());
    if (move.kind === 'done' || concluded) {
      const end = move.kind === 'done' ? move.end : 'stop-rule';
      await conclude(stage, step, samples, whyNoHigher(end, limits, step));
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

function limitsOf(step: ClimbStep, channels: readonly DrivenChannel[]): ClimbLimits {
  const playable_W = mostPowerAsked(channels, fullScaleOutput(channels));
  return {
    from_dBW: dBW(step.from_W),
    most_dBW: dBW(Math.min(step.most_W, playable_W)),
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

/** By the looks that a climb still needs: to rise to where units usually end, and to narrow its marks down. */
function shareDone(step: ClimbStep, samples: readonly LevelSample[], limits: ClimbLimits): number {
  const levels = samples.map((sample) => sample.asked_dBW);
  const top = Math.max(...levels);
  const refined = levels.length - 1 - levels.indexOf(top);
  const rest = Math.max(1, markLooks(step) - refined);
  const most_W = fromDBW(limits.most_dBW);
  const end_W = usualEnd_W({ from_W: step.from_W, most_W });
  const rise = refined === 0 ? riseLooks(fromDBW(top), end_W, most_W) : 0;
  return samples.length / (samples.length + rise + rest);
}

function whyNoHigher(end: ClimbEnd, limits: ClimbLimits, step: ClimbStep): string {
  const top = `${fromDBW(limits.most_dBW).toPrecision(4)} W`;
  if (end === 'far-over') return 'the climb ended because another channel was far into clipping';
  if (end === 'stop-rule') return '';
  if (end === 'output-stopped-following')
    return 'the climb ended where the output no longer followed the drive';
  return limits.most_dBW < dBW(step.most_W) - 0.01
    ? `the climb ended at ${top}, where the interface output reaches full scale`
    : `the climb ended at ${top}, the most this step may ask for`;
}

async function conclude(
  stage: StepStage,
  step: ClimbStep,
  samples: readonly ReadSample[],
  end: string,
): Promise<void> {
  const readings = samples.flatMap((sample) => sample.readings);
  const findings: ClimbFinding[] = [];
  const crossings: PowerAtThdn[] = [];
  for (const [index, channel] of step.measured.entries()) {
    const own = readings.filter((reading) => reading.channel === channel);
    const results = resultsFor(stage.walk, step, { channel, own, end, samples, index });
    for (const result of results) await stage.walk.emit({ kind: 'result', result });
    const found = results.filter((result) => result.kind === 'power-at-thdn');
    crossings.push(...found);
    const powers = found.map(({ threshold_percent, power_W }) => ({ percent: threshold_percent, power_W }));
    findings.push({ channel, powers });
  }
  for (const result of sumResults(step, samples, crossings))
    await stage.walk.emit({ kind: 'result', result });
  stage.walk.findings.set(step.id, findings);
  const looks = [{ tone: step.tone, readings: samples.map((sample) => sample.readings) }];
  stage.walk.progress.enter('causes');
  await diagnoseClimb(stage, looks, step.marks_percent);
  if (end !== '') await stage.walk.note('climb', end);
}

/** What a climb has read of one channel. */
interface ChannelClimb {
  readonly channel: number;
  readonly own: readonly Reading[];
  /** Why the climb went no higher; empty for the stop rule. */
  readonly end: string;
  readonly samples: readonly ReadSample[];
  /** Of the channel within the readings of a sample. */
  readonly index: number;
}

function resultsFor(
  walk: Walk,
  step: ClimbStep,
  { channel, own, end, samples, index }: ChannelClimb,
): Result[] {
  const base = {
    step: step.id,
    channel,
    driven: step.driven,
    load_ohm: step.load_ohm,
    frequency_Hz: step.tone.frequency_Hz,
  };
  const curve: Curve = { walk, tone: step.tone, readings: own };
  const crossings = step.marks_percent.map((threshold_percent): PowerAtThdn => {
    const unsure = contradiction(samples, index, threshold_percent);
    const found = unsure ? null : lastCrossing(own, threshold_percent);
    const budgets = found && crossingBudgets(curve, found, threshold_percent);
    return {
      kind: 'power-at-thdn',
      ...base,
      threshold_percent,
      power_W: found?.power_W ?? null,
      uncertainty_W: budgets?.[0]?.expanded ?? null,
      bracket_dB: found?.bracket_dB ?? null,
      note: unsure ? hasChanged(unsure) : found ? '' : notCrossed(own, threshold_percent, end),
      ...(budgets ? { budgets } : {}),
    };
  });
  const rise = riseOf(samples, ({ asked_dBW }) => asked_dBW).map(({ readings }) => readings[index]!);
  return [...crossings, { kind: 'knee', ...base, ...kneeWithin(curve, rise) }];
}

function kneeWithin(curve: Curve, rise: readonly Reading[]) {
  const { found, why, plateau_percent, governed_by, clipping_interval_dB } = kneeOf(
    curve.readings.map(kneePoint),
    rise.map(kneePoint),
  );
  const budgets = found && kneeBudgets(curve, found);
  return {
    power_W: found?.power_W ?? null,
    uncertainty_W: budgets?.[0]?.expanded ?? null,
    plateau_percent,
    governed_by,
    hardness_dB: clipping_interval_dB,
    note: why === null ? '' : NO_KNEE[why],
    ...(budgets ? { budgets } : {}),
  };
}

const NO_KNEE: Readonly<Record<NoKnee, string>> = {
  'no-knee': 'THD+N never leaves the trend of the lower levels, or only gradually',
  'too-few-readings': 'too few readings for a trend of the lower levels',
};

const kneePoint = ({ power_W, thdn_percent, noise_V, voltage_V }: Reading) => ({
  power_W,
  thdn_percent,
  noise_percent: (100 * noise_V) / voltage_V,
});

function hasChanged([first, again]: readonly [LevelReading, LevelReading]): string {
  const percent = ({ thdn_percent }: LevelReading) => formatQuantity(thdn_percent, '%');
  return `at ${formatQuantity(first.power_W, 'W')} THD+N was ${percent(first)}, and ${percent(again)} when the same level was played again: something has changed in between`;
}

function notCrossed(own: readonly Reading[], threshold_percent: number, end: string): string {
  const below = own.some((reading) => reading.thdn_percent < threshold_percent);
  return below
    ? end || `THD+N did not reach ${threshold_percent} %`
    : `THD+N was never below ${threshold_percent} %`;
}

import type { FlagCode } from '../measure/flags.js';
import type { BandResult, Reading } from '../record/run-record.js';
import type { SweepStep } from '../sequence/plan.js';
import type { CoherentTone } from '../stimulus/coherent-tone.js';
import { type DrivenChannel, outputFor } from './drive.js';
import { type MeasuredPoint, measurePoint } from './measure-point.js';
import { probeGain } from './probe-gain.js';
import { restIfHot } from './rest.js';
import type { StepStage, Walk } from './walk.js';

/** Most by which the drive is raised at any frequency to keep the level that it gave at the gain's frequency. */
const TRIM_dB = 1;
/** A level within this of the one asked for is held. */
const HELD_dB = 0.02;
/** A level further off than this is said not to have been reached. */
const MISSED_dB = 0.1;
const MOST_TRIMS = 3;
/** The gain is probed at a thousandth of the sweep's power. */
const PROBE_SHARE = 1e-3;

/** What one channel is to give, and the interface output that should give it. */
interface Target {
  readonly channel: DrivenChannel;
  readonly power_W: number;
  readonly output_V: number;
}

/**
 * Holds a level and steps the frequency; hands over the worst of the band. A channel whose climb did not
 * find the power to hold has no level to be held at: it stays silent, and the others are swept without it.
 */
export async function playSweep(whole: StepStage, asked: SweepStep): Promise<void> {
  const { walk } = whole;
  const aims = powersFor(walk, asked);
  const powers_W = aims.filter((power_W) => power_W !== null);
  const step = { ...asked, driven: asked.driven.filter((_, i) => aims[i] !== null) };
  if (step.driven.length < asked.driven.length) await walk.note('sweep', leftOut(asked, step.driven));
  if (step.driven.length === 0) return;
  const stage = { ...whole, step };
  const targets = await aimAt(stage, step, powers_W);
  const readings: Reading[] = [];
  for (const [i, tone] of step.tones.entries()) {
    await restIfHot(stage, Math.max(...targets.map((target) => target.power_W)), tone);
    const measured = await holdAt(stage, step, targets, tone);
    await walk.keep(measured);
    readings.push(...measured.readings);
    walk.progress.advance((i + 1) / step.tones.length);
  }
  for (const result of bandResults(step, readings)) await walk.emit({ kind: 'result', result });
}

function powersFor(walk: Walk, step: SweepStep): (number | null)[] {
  const { level } = step;
  return step.driven.map((channel) => {
    if (level.kind === 'power') return level.power_W;
    if (level.kind === 'voltage')
      return level.voltage_V ** 2 / walk.load(channel, step.load_ohm).measured_ohm;
    const finding = walk.findings.get(level.climb)?.find((candidate) => candidate.channel === channel);
    const found_W = finding?.powers.find((mark) => mark.percent === level.percent)?.power_W ?? null;
    return found_W === null ? null : found_W * level.share;
  });
}

/** Which channels a sweep goes without, and why. */
function leftOut({ id, driven, level }: SweepStep, swept: readonly number[]): string {
  const why =
    level.kind === 'mark' ? `${level.climb} found no power at ${level.percent} % there` : 'there is no level';
  if (swept.length === 0) return `${id} was left out on every channel: ${why}`;
  const missing = driven.filter((channel) => !swept.includes(channel));
  return `${id} leaves out channel ${missing.join(', ')}: ${why}; only channel ${swept.join(', ')} is driven`;
}

async function aimAt(stage: StepStage, step: SweepStep, powers_W: readonly number[]): Promise<Target[]> {
  const nearest = step.tones.reduce((best, tone) =>
    Math.abs(Math.log(tone.nominal_Hz / 1000)) < Math.abs(Math.log(best.nominal_Hz / 1000)) ? tone : best,
  );
  const channels = await probeGain(stage, nearest, PROBE_SHARE * Math.min(...powers_W));
  return channels.map((channel, i) => {
    const power_W = Math.min(powers_W[i]!, step.most_W);
    return { channel, power_W, output_V: outputFor(channel, power_W) };
  });
}

/** Reads one frequency, trimming each channel's drive until its level is held or its limit is reached. */
async function holdAt(
  stage: StepStage,
  step: SweepStep,
  targets: readonly Target[],
  tone: CoherentTone,
): Promise<MeasuredPoint> {
  let outputs_V = targets.map((target) => target.output_V);
  const asked_W = Math.max(...targets.map((target) => target.power_W));
  for (let trims = 0; ; trims += 1) {
    const measured = await measurePoint(stage, { tone, outputs_V, asked_W });
    const next_V = targets.map((target, i) => trimmed(target, outputs_V[i]!, measured.readings[i]!));
    const unchanged = next_V.every(
      (output_V, i) => Math.abs(20 * Math.log10(output_V / outputs_V[i]!)) < HELD_dB / 2,
    );
    if (step.hold === 'drive' || unchanged || trims === MOST_TRIMS) return withMisses(measured, targets);
    outputs_V = next_V;
  }
}

/** The output for the next try: towards the target, but no more than the trim above the first aim. */
function trimmed(target: Target, output_V: number, reading: Reading): number {
  const wanted = output_V * Math.sqrt(target.power_W / reading.power_W);
  const most = target.output_V * 10 ** (TRIM_dB / 20);
  const fullScale_V = target.channel.chain.outputFullScale_Vpk / Math.SQRT2;
  return Math.min(wanted, most, fullScale_V);
}

function withMisses(measured: MeasuredPoint, targets: readonly Target[]): MeasuredPoint {
  const readings = measured.readings.map((reading, i) => {
    const off_dB = 10 * Math.log10(reading.power_W / targets[i]!.power_W);
    return off_dB < -MISSED_dB
      ? { ...reading, flags: [...reading.flags, 'power-not-reached' as const] }
      : reading;
  });
  return { ...measured, readings };
}

function bandResults(step: SweepStep, readings: readonly Reading[]): BandResult[] {
  return step.driven.map((channel) => {
    const own = readings.filter((reading) => reading.channel === channel);
    const weakest = own.reduce((worst, reading) => (reading.power_W < worst.power_W ? reading : worst));
    const dirtiest = own.reduce((worst, reading) =>
      reading.thdn_percent > worst.thdn_percent ? reading : worst,
    );
    const frequencies = own.map((reading) => reading.frequency_Hz);
    const flags = new Set<FlagCode>(own.flatMap((reading) => reading.flags));
    return {
      kind: 'band',
      step: step.id,
      channel,
      driven: step.driven,
      load_ohm: step.load_ohm,
      low_Hz: Math.min(...frequencies),
      high_Hz: Math.max(...frequencies),
      least_power_W: weakest.power_W,
      least_power_Hz: weakest.frequency_Hz,
      most_thdn_percent: dirtiest.thdn_percent,
      most_thdn_Hz: dirtiest.frequency_Hz,
      flags: [...flags],
    };
  });
}

import type { FlagCode } from '../../measure/flags.js';
import type { BandResult } from '../../record/old-results.js';
import {
  aimAt,
  channelsWithLevel,
  type HeldPoint,
  type ReachAim,
  reachLevel,
} from '../../runner/capture/held-level.js';
import { LookAhead } from '../../runner/capture/look-ahead.js';
import type { NextAim } from '../../runner/capture/take-record.js';
import { restIfHot } from '../../runner/course/rest.js';
import type { StepStage, Walk } from '../../runner/course/walk.js';
import { requireSameUnit } from '../../runner/memory/same-unit.js';
import { bandBudgets, type PlacedReading } from '../../runner/search/curve-budgets.js';
import type { CoherentTone } from '../../signal/coherent-tone.js';
import type { SweepStep } from './plan.js';

/**
 * Holds a level and steps the frequency; hands over the worst of the band. A channel whose climb did not
 * find the power to hold has no level to be held at: it stays silent, and the others are swept without it.
 */
export async function playSweep(whole: StepStage, asked: SweepStep): Promise<void> {
  const { walk } = whole;
  const levelled = await channelsWithLevel(walk, asked);
  if (!levelled) return;
  const { step, powers_W } = levelled;
  const stage = { ...whole, step };
  const nearest = step.tones.reduce((best, tone) =>
    Math.abs(Math.log(tone.nominal_Hz / 1000)) < Math.abs(Math.log(best.nominal_Hz / 1000)) ? tone : best,
  );
  const stored = walk.stored(step.id);
  await requireSameUnit(stage, stored, step.tones);
  const targets = await aimAt(stage, nearest, powers_W);
  const placed: PlacedReading[] = [];
  // What one frequency needed, the next will need about as well.
  let from_V: readonly number[] | null = null;
  const ahead = new LookAhead<NextAim>();
  const storedAt = (tone: CoherentTone | undefined) =>
    stored.find(({ point }) => point.nominal_Hz === tone?.nominal_Hz);
  for (const [i, tone] of step.tones.entries()) {
    walk.progress.enter(String(tone.nominal_Hz));
    const before = storedAt(tone);
    const after = step.tones[i + 1];
    const aim: ReachAim = {
      targets,
      tone,
      trim: step.hold === 'power',
      from_V,
      next: after && !storedAt(after) ? after : null,
    };
    const held: HeldPoint | null = before ? null : await readAt(stage, aim, ahead);
    from_V = held?.held ? held.outputs_V : null;
    const { readings } = before ?? held!.measured;
    placed.push(...readings.map((reading) => ({ reading, tone })));
  }
  for (const result of bandResults(walk, step, placed)) await walk.emit({ kind: 'result', result });
}

/** Reads one frequency and keeps the point. */
async function readAt(stage: StepStage, aim: ReachAim, ahead: LookAhead<NextAim>): Promise<HeldPoint> {
  await restIfHot(stage, Math.max(...aim.targets.map((target) => target.power_W)), aim.tone);
  const held = await reachLevel(stage, aim, ahead);
  await stage.walk.keep(held.measured);
  return held;
}

function bandResults(walk: Walk, step: SweepStep, placed: readonly PlacedReading[]): BandResult[] {
  return step.measured.map((channel) => {
    const own = placed.filter(({ reading }) => reading.channel === channel);
    const weakest = own.reduce((worst, one) => (one.reading.power_W < worst.reading.power_W ? one : worst));
    const dirtiest = own.reduce((worst, one) =>
      one.reading.thdn_percent > worst.reading.thdn_percent ? one : worst,
    );
    const frequencies = own.map(({ reading }) => reading.frequency_Hz);
    const flags = new Set<FlagCode>(own.flatMap(({ reading }) => reading.flags));
    return {
      kind: 'band',
      step: step.id,
      channel,
      driven: step.driven,
      load_ohm: step.load_ohm,
      low_Hz: Math.min(...frequencies),
      high_Hz: Math.max(...frequencies),
      least_power_W: weakest.reading.power_W,
      least_power_Hz: weakest.reading.frequency_Hz,
      least_power_uncertainty_W: weakest.reading.uncertainty_W,
      most_thdn_percent: dirtiest.reading.thdn_percent,
      most_thdn_Hz: dirtiest.reading.frequency_Hz,
      most_thdn_uncertainty_percent: dirtiest.reading.thdn_uncertainty_percent,
      flags: [...flags],
      budgets: bandBudgets(walk, weakest, dirtiest),
    };
  });
}

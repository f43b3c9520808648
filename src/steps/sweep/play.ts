import type { Finding } from '../../record/finding.js';
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
import { findingOf, sineOf } from '../../runner/findings/finding-of.js';
import { flagsOf } from '../../runner/findings/max-power-of.js';
import { requireSameUnit } from '../../runner/memory/same-unit.js';
import type { SweptTone } from '../../runner/memory/swept.js';
import { bandBudgets, type ReadingOfTone } from '../../runner/search/curve-budgets.js';
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
  const placed: ReadingOfTone[] = [];
  const swept: SweptTone[] = [];
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
    swept.push({ tone, readings });
  }
  walk.unit.sweptBands.remember(asked, swept);
  for (const finding of bandFindings(walk, step, placed)) await walk.emit({ kind: 'finding', finding });
}

/** Reads one frequency and keeps the point. */
async function readAt(stage: StepStage, aim: ReachAim, ahead: LookAhead<NextAim>): Promise<HeldPoint> {
  await restIfHot(stage, Math.max(...aim.targets.map((target) => target.power_W)), aim.tone);
  const held = await reachLevel(stage, aim, ahead);
  await stage.walk.keep(held.measured);
  return held;
}

/** The weakest and the dirtiest reading of each channel. */
function bandFindings(walk: Walk, step: SweepStep, placed: readonly ReadingOfTone[]): Finding[] {
  return step.measured.flatMap((channel) => {
    const own = placed.filter(({ reading }) => reading.channel === channel);
    const weakest = own.reduce((worst, one) => (one.reading.power_W < worst.reading.power_W ? one : worst));
    const dirtiest = own.reduce((worst, one) =>
      one.reading.thdn_percent > worst.reading.thdn_percent ? one : worst,
    );
    const frequencies = own.map(({ reading }) => reading.frequency_Hz);
    const over_Hz = [Math.min(...frequencies), Math.max(...frequencies)] as const;
    const [power, thdn] = bandBudgets(walk, weakest, dirtiest);
    const extreme = ({ reading, tone }: ReadingOfTone) => ({
      stimulus: sineOf(tone),
      terms: { over_Hz, band_Hz: reading.band_Hz },
      points: [reading.point],
      // Any reading of the band may be the extreme if it is not what it seems.
      flags: flagsOf(own.map((one) => one.reading)),
    });
    return [
      findingOf(step, channel, {
        quantity: 'power',
        statistic: 'minimum',
        value: weakest.reading.power_W,
        uncertainty: weakest.reading.uncertainty_W,
        budgets: power ? [power] : [],
        ...extreme(weakest),
      }),
      findingOf(step, channel, {
        quantity: 'thdn',
        statistic: 'maximum',
        value: dirtiest.reading.thdn_percent,
        uncertainty: dirtiest.reading.thdn_uncertainty_percent,
        budgets: thdn ? [thdn] : [],
        ...extreme(dirtiest),
      }),
    ];
  });
}

import type { FlagCode } from '../measure/flags.js';
import type { BandResult, Reading } from '../record/run-record.js';
import type { SweepStep } from '../sequence/plan.js';
import { aimAt, channelsWithLevel, reachLevel } from './held-level.js';
import { restIfHot } from './rest.js';
import type { StepStage } from './walk.js';

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
  const targets = await aimAt(stage, nearest, powers_W);
  const readings: Reading[] = [];
  for (const [i, tone] of step.tones.entries()) {
    await restIfHot(stage, Math.max(...targets.map((target) => target.power_W)), tone);
    const { measured } = await reachLevel(stage, targets, tone, step.hold === 'power');
    await walk.keep(measured);
    readings.push(...measured.readings);
    walk.progress.advance((i + 1) / step.tones.length);
  }
  for (const result of bandResults(step, readings)) await walk.emit({ kind: 'result', result });
}

function bandResults(step: SweepStep, readings: readonly Reading[]): BandResult[] {
  return step.measured.map((channel) => {
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

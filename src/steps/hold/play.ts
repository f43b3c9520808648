import type { Remark } from '../../record/reasons.js';
import { diagnoseHold } from '../../runner/causes/diagnose-hold.js';
import type { StepStage } from '../../runner/course/walk.js';
import { watchLevel } from '../../runner/held/watch-level.js';
import type { HoldStep } from './plan.js';

/** Holds a level, and ends with a result a channel. */
export async function playHold(whole: StepStage, asked: HoldStep): Promise<void> {
  const held = await watchLevel(whole, asked);
  if (!held) return;
  const { stage, step, standing, stood_s, records } = held;
  for (const [i, channel] of step.measured.entries()) {
    const remarks = [...warmth(stage, channel), ...standing.remarks];
    for (const finding of standing.courses[i]!.findingsOf(step, stood_s, remarks))
      await stage.walk.emit({ kind: 'finding', finding });
  }
  if (records) await diagnoseHold(stage, standing.aim, standing.courses, records);
}

/** How warm the load has become by its model, where the bench file says what a watt does to it. */
function warmth({ walk, step }: StepStage, channel: number): Remark[] {
  const load = walk.load(channel, step.load_ohm);
  if (load.heating_K_per_W === 0) return [];
  return [{ code: 'load-warm', rise_K: load.heating_K_per_W * walk.heat.of(channel, load) }];
}

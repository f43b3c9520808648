import { lastCrossing } from '../../measure/crossing.js';
import type { Reading } from '../../record/run-record.js';
import { type DrivenChannel, outputFor } from '../../runner/capture/drive.js';
import { reachLevel } from '../../runner/capture/held-level.js';
import { restIfHot } from '../../runner/course/rest.js';
import type { StepStage } from '../../runner/course/walk.js';
import type { SweptTone } from '../../runner/memory/swept.js';
import { decidingTones, surelyKeeps } from '../../runner/search/deciding-tones.js';
import type { CoherentTone } from '../../signal/coherent-tone.js';
import { powerRatio } from '../../units/decibel.js';
import type { MaxPowerStep } from './plan.js';

/**
 * The other frequencies are checked so far below the power that was found: at that power itself THD+N stands at the limit, and
 * whether it is passed is chance.
 */
const BELOW_dB = 0.005;
/** And this near to that: what lies between is part of the uncertainty of the full-band power. */
const CHECK_dB = 0.005;

/** What a search at one frequency has shown, with the channels as they were driven there. */
interface Searched {
  /** By capture, one entry a measured channel. */
  readonly readings: readonly (readonly Reading[])[];
  readonly channels: readonly DrivenChannel[];
}

/**
 * Goes on from a sweep to the power that every channel keeps at every frequency: searches the worst frequency, checks the
 * other ones that the sweep left open at what was found there, and searches those that do not keep it. Ends at once
 * where a channel keeps the limit at no power.
 *
 * @param search finds the maximum power of every channel at a frequency
 */
export async function searchFullBand(
  stage: StepStage,
  step: MaxPowerStep,
  swept: readonly SweptTone[],
  search: (tone: CoherentTone) => Promise<Searched>,
): Promise<void> {
  const open = decidingTones(step.tones, swept, step.threshold_percent);
  let kept: { readonly power_W: number; readonly channels: readonly DrivenChannel[] } | null = null;
  for (const tone of open) {
    if (kept && (await keeps(stage, step, tone, kept))) continue;
    const { readings, channels } = await search(tone);
    const found = leastOf(step, readings);
    if (found === null) return;
    const power_W: number = Math.min(
      found * powerRatio(-BELOW_dB),
      kept?.power_W ?? Number.POSITIVE_INFINITY,
    );
    kept = { power_W, channels };
  }
}

/** Whether every channel keeps the limit at a power and a frequency. The capture is kept as a point. */
async function keeps(
  stage: StepStage,
  step: MaxPowerStep,
  tone: CoherentTone,
  { power_W, channels }: { readonly power_W: number; readonly channels: readonly DrivenChannel[] },
): Promise<boolean> {
  stage.walk.progress.enter(String(tone.nominal_Hz));
  await restIfHot(stage, power_W, tone);
  const targets = channels.map((channel) => ({ channel, power_W, output_V: outputFor(channel, power_W) }));
  const { measured } = await reachLevel(stage, { targets, tone, trim: true, held_dB: CHECK_dB });
  await stage.walk.keep(measured);
  return measured.readings.every((reading) => surelyKeeps(reading, step.threshold_percent));
}

/** The power of the channel that gives least; null where one of them keeps the limit at none, or ends before it passes it. */
function leastOf(
  { measured, threshold_percent }: MaxPowerStep,
  readings: readonly (readonly Reading[])[],
): number | null {
  const powers = measured.map((_, i) => {
    const own = readings.map((taken) => taken[i]!);
    return lastCrossing(own, threshold_percent)?.power_W ?? null;
  });
  return powers.reduce<number | null>(
    (least, power_W) => (least === null || power_W === null ? null : Math.min(least, power_W)),
    Number.POSITIVE_INFINITY,
  );
}

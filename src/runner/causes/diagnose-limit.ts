import type { Reading } from '../../record/run-record.js';
import type { StepStage } from '../course/walk.js';
import { explain, lookAround, unexplained } from './diagnose.js';
import { channelEnd, type SearchedTone } from './short-places.js';

/** A sweep with less than this share of the limit was not played at it, and shows nothing of what stops the unit. */
const NEAR_LIMIT = 0.5;
const MIDDLE_Hz = 1000;

/**
 * Says why a unit gives no more over the band: at the frequency and on the channel that give least of those searched; where the
 * sweep left none to be searched, near 1 kHz, at the level swept.
 *
 * @param searched what the search has looked at, in any order
 * @param swept readings of the sweep before it
 */
export async function diagnoseLimit(
  stage: StepStage,
  searched: readonly SearchedTone[],
  swept: readonly { readonly tone: SearchedTone['tone']; readonly readings: readonly Reading[] }[],
  threshold_percent: number,
): Promise<void> {
  const middle = middleOf(swept);
  if (!middle) return;
  const limit = lowestOf(searched, threshold_percent) ?? nearLimit(middle, threshold_percent);
  if (!limit) return;
  const place = unexplained(stage, {
    searched: limit.searched,
    short_dB: new Map([[limit.index, 0]]),
  });
  if (place.short_dB.size === 0) return;
  const atMiddle = limit.searched.tone.nominal_Hz === middle.tone.nominal_Hz;
  const reference = atMiddle ? null : await lookAround(stage, middle, threshold_percent, [limit.index]);
  await explain(stage, place, atMiddle ? limit.searched : middle, { threshold_percent, reference });
}

interface Limit {
  readonly searched: SearchedTone;
  /** Of the channel, among the measured ones. */
  readonly index: number;
}

function middleOf(swept: Parameters<typeof diagnoseLimit>[2]): SearchedTone | null {
  const off = ({ tone }: { readonly tone: SearchedTone['tone'] }) =>
    Math.abs(Math.log(tone.nominal_Hz / MIDDLE_Hz));
  const nearest = swept.toSorted((a, b) => off(a) - off(b))[0];
  return nearest ? { tone: nearest.tone, readings: [nearest.readings] } : null;
}

/** A channel that keeps the limit at no level decides, else that with the least power. */
function lowestOf(searched: readonly SearchedTone[], threshold_percent: number): Limit | null {
  const ends = searched.flatMap((one) =>
    (one.readings[0] ?? []).flatMap((_, index) => {
      const end = channelEnd(one, index, threshold_percent);
      if (end?.kind !== 'found' && end?.kind !== 'never-kept') return [];
      return [{ searched: one, index, least_W: end.kind === 'never-kept' ? 0 : end.power_W }];
    }),
  );
  return ends.toSorted((a, b) => a.least_W - b.least_W)[0] ?? null;
}

function nearLimit(middle: SearchedTone, threshold_percent: number): Limit | null {
  const [readings = []] = middle.readings;
  const near = readings
    .map(({ thdn_percent, power_W }, index) => ({ index, thdn_percent, power_W }))
    .filter(({ thdn_percent }) => thdn_percent >= NEAR_LIMIT * threshold_percent)
    .sort((a, b) => a.power_W - b.power_W);
  return near[0] ? { searched: middle, index: near[0].index } : null;
}

import { type Meeting, settle } from '../../sequence/lay-out.js';
import type { Placed } from '../../sequence/place-steps.js';
import type { QuietStep } from '../../sequence/plan.js';
import type { WrittenQuiet } from '../../sequence/written-step.js';

/** Lays a quiet step out for a bench; null when anything about it is wrong (and was noted). */
export function layOutQuiet(meeting: Meeting, written: Placed<WrittenQuiet>): QuietStep | null {
  const { keys, spoilt } = written;
  const setting = settle(meeting, written);
  if (!setting || keys.for === undefined || spoilt.size > 0) return null;
  const { channels: _, ...base } = setting;
  return {
    kind: 'quiet',
    id: written.id,
    ...base,
    seconds: keys.for,
    mostDc_V: keys.most_dc ?? null,
    mostNoise_V: keys.most_noise ?? null,
  };
}

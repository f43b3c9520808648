import type { Meeting } from '../../sequence/lay-out.js';
import { settle } from '../../sequence/lay-out.js';
import { settleLevel } from '../../sequence/lay-out-level.js';
import { tonesOf } from '../../sequence/lay-out-tones.js';
import type { Placed } from '../../sequence/place-steps.js';
import type { SweepStep } from '../../sequence/plan.js';
import type { WrittenSweep } from '../../sequence/written-step.js';

/** Lays a sweep out for a bench; null when anything about it is wrong (and was noted). */
export function layOutSweep(meeting: Meeting, written: Placed<WrittenSweep>): SweepStep | null {
  const before = meeting.faults.length;
  const { keys, spoilt } = written;
  const setting = settle(meeting, written);
  const tones = tonesOf(meeting, written, setting);
  const settled = settleLevel(meeting, written, 'level', setting);
  const faulty = spoilt.size > 0 || meeting.faults.length > before;
  if (!setting || !settled || faulty) return null;
  const { channels: _, ...base } = setting;
  const { level, most_W } = settled;
  return { kind: 'sweep', id: written.id, ...base, most_W, tones, level, hold: keys.hold ?? 'power' };
}

import { leastFloor } from '../../calibration/floor.js';
import { complain, type Meeting, settle } from '../../sequence/lay-out.js';
import { settleLevel } from '../../sequence/lay-out-level.js';
import { type PowerRange, rangeOf } from '../../sequence/lay-out-range.js';
import { tonesOf } from '../../sequence/lay-out-tones.js';
import type { Placed } from '../../sequence/place-steps.js';
import type { Level, MaxPowerStep } from '../../sequence/plan.js';
import type { WrittenMaxPower } from '../../sequence/written-step.js';
import { formatQuantity } from '../../units/format.js';

/** Lays a ceiling out for a bench; null when anything about it is wrong (and was noted). */
export function layOutMaxPower(meeting: Meeting, written: Placed<WrittenMaxPower>): MaxPowerStep | null {
  const before = meeting.faults.length;
  const { keys, spoilt } = written;
  const setting = settle(meeting, written);
  const tones = tonesOf(meeting, written, setting);
  const range = setting ? rangeOf(meeting, written, setting) : null;
  const start = settleLevel(meeting, written, 'start', setting)?.level ?? null;
  if (range && start) noteStartOutside(meeting, written, start, range);
  noteThresholdBelowFloor(meeting, written);
  const faulty = spoilt.size > 0 || meeting.faults.length > before;
  if (!setting || !range || keys.threshold === undefined || faulty) return null;
  const { channels: _, ...base } = setting;
  const threshold_percent = keys.threshold;
  return { kind: 'max-power', id: written.id, ...base, ...range, tones, threshold_percent, start };
}

function noteThresholdBelowFloor(meeting: Meeting, written: Placed<WrittenMaxPower>): void {
  const { threshold } = written.keys;
  const floor = meeting.bench.floor ? leastFloor(meeting.bench.floor) : null;
  if (threshold === undefined || floor === null || threshold > floor) return;
  complain(
    meeting,
    written,
    'threshold',
    `the threshold of ${formatQuantity(threshold, '%')} is not above what the bench reads by itself`,
    `its floor is ${formatQuantity(floor, '%')}`,
  );
}

function noteStartOutside(
  meeting: Meeting,
  written: Placed<WrittenMaxPower>,
  start: Level,
  { from_W, most_W }: PowerRange,
): void {
  if (start.kind !== 'power' || (start.power_W >= from_W && start.power_W <= most_W)) return;
  complain(
    meeting,
    written,
    'start',
    `the start at ${formatQuantity(start.power_W, 'W')} is not between the ends of the search`,
    `it goes from ${formatQuantity(from_W, 'W')} to ${formatQuantity(most_W, 'W')}`,
  );
}

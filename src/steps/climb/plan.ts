import { leastFloor } from '../../calibration/floor.js';
import { type Meeting, settle } from '../../sequence/lay-out.js';
import { rangeOf } from '../../sequence/lay-out-range.js';
import type { Placed } from '../../sequence/place-steps.js';
import type { ClimbStep } from '../../sequence/plan.js';
import { singleTone } from '../../sequence/single-tone.js';
import type { WrittenClimb } from '../../sequence/written-step.js';
import { formatQuantity } from '../../units/format.js';

const MARKS_PERCENT = [0.1, 1];

/** Lays a climb out for a bench; null when anything about it is wrong (and was noted). */
export function layOutClimb(meeting: Meeting, written: Placed<WrittenClimb>): ClimbStep | null {
  const before = meeting.faults.length;
  const { keys, spoilt } = written;
  const setting = settle(meeting, written);
  const thresholds = thresholdsOf(meeting, written);
  const tone = keys.frequency === undefined ? null : singleTone(meeting, written, keys.frequency, setting);
  const range = setting ? rangeOf(meeting, written, setting) : null;
  if (!setting || !tone || !range || spoilt.size > 0 || meeting.faults.length > before) return null;
  const { channels: _, ...base } = setting;
  return { kind: 'climb', id: written.id, ...base, ...range, tone, ...thresholds };
}

function thresholdsOf(meeting: Meeting, { keys, path }: Placed<WrittenClimb>) {
  const marks = keys.marks ?? MARKS_PERCENT;
  const stop_percent = keys.stop ?? Math.max(...marks);
  const floor = meeting.bench.floor ? leastFloor(meeting.bench.floor) : null;
  const note = (at: readonly PropertyKey[], what: string, mend: string) =>
    meeting.faults.push(meeting.sequence.document.fault([...path, ...at], what, mend));
  marks.forEach((mark, i) => {
    if (mark > stop_percent)
      note(
        keys.marks ? ['marks', i] : ['stop'],
        `the mark of ${formatQuantity(mark, '%')} lies above the stop at ${formatQuantity(stop_percent, '%')}`,
        'stop at the highest mark or above it',
      );
    if (floor !== null && mark <= floor)
      note(
        keys.marks ? ['marks', i] : [],
        `the mark of ${formatQuantity(mark, '%')} is not above what the bench reads by itself`,
        `its floor is ${formatQuantity(floor, '%')}`,
      );
  });
  return { marks_percent: [...new Set(marks)].sort((a, b) => a - b), stop_percent };
}

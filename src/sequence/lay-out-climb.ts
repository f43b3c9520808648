import { leastFloor } from '../calibration/floor.js';
import { formatQuantity } from '../units/format.js';
import { benchMost_W, limitsPassed } from './bench-limits.js';
import { complain, type Meeting, type SettledSetting, settle, toneFor, warnIfOutOfReach } from './lay-out.js';
import type { ClimbStep } from './plan.js';
import type { WrittenClimb } from './sequence-file.js';

const FROM_W = 0.05;
const MARKS_PERCENT = [0.1, 1];

/** Lays a climb out for a bench; null when anything about it is wrong (and was noted). */
export function layOutClimb(meeting: Meeting, written: WrittenClimb): ClimbStep | null {
  const before = meeting.faults.length;
  const { keys, spoilt } = written;
  const setting = settle(meeting, written);
  const thresholds = thresholdsOf(meeting, written);
  const tone =
    keys.frequency === undefined
      ? null
      : toneFor(meeting, [...written.path, 'frequency'], {
          nominal_Hz: keys.frequency,
          band: setting?.band ?? null,
        });
  const most_W = setting && !spoilt.has('to') ? topOf(meeting, written, setting) : null;
  const from_W = keys.from ?? FROM_W;
  if (most_W !== null && !spoilt.has('from') && from_W >= most_W)
    complain(
      meeting,
      written,
      'from',
      `from ${formatQuantity(from_W, 'W')} is not below the top of the climb`,
      `the top is ${formatQuantity(most_W, 'W')}`,
    );
  if (!setting || !tone || most_W === null || spoilt.size > 0 || meeting.faults.length > before) return null;
  const { channels: _, ...base } = setting;
  return { kind: 'climb', id: written.id, ...base, most_W, tone, from_W, ...thresholds };
}

/** The climb's top: as written, checked against the bench, or what the bench can take. */
function topOf(meeting: Meeting, written: WrittenClimb, setting: SettledSetting): number | null {
  const to = written.keys.to ?? 'load rating';
  if (to === 'load rating') return benchMost_W(setting.channels);
  const passed = limitsPassed(setting.channels, () => to);
  if (passed !== null) {
    complain(meeting, written, 'to', `${formatQuantity(to, 'W')} is more than the bench can take`, passed);
    return null;
  }
  warnIfOutOfReach(meeting, written.id, setting.channels, to);
  return to;
}

function thresholdsOf(meeting: Meeting, { keys, path }: WrittenClimb) {
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

import type { CoherentTone } from '../stimulus/coherent-tone.js';
import { formatQuantity } from '../units/format.js';
import { benchMost_W, type LoadedChannel, limitsPassed } from './bench-limits.js';
import { frequenciesOf } from './frequency-list.js';
import { complain, type Meeting, type SettledSetting, settle, toneFor, warnIfOutOfReach } from './lay-out.js';
import type { ClimbStep, Level, SweepStep } from './plan.js';
import type { WrittenSweep } from './sequence-file.js';

/** Lays a sweep out for a bench; null when anything about it is wrong (and was noted). */
export function layOutSweep(meeting: Meeting, written: WrittenSweep): SweepStep | null {
  const before = meeting.faults.length;
  const { keys, spoilt } = written;
  const setting = settle(meeting, written);
  const tones = tonesOf(meeting, written, setting);
  const most_W = keys.level ? mostOf(meeting, written, keys.level, setting) : null;
  const faulty = spoilt.size > 0 || meeting.faults.length > before;
  if (!setting || !keys.level || most_W === null || faulty) return null;
  const hold = keys.hold ?? 'power';
  const { channels: _, ...base } = setting;
  return { kind: 'sweep', id: written.id, ...base, most_W, tones, level: keys.level, hold };
}

function tonesOf(meeting: Meeting, written: WrittenSweep, setting: SettledSetting | null): CoherentTone[] {
  const choice = written.keys.frequencies;
  if (!choice) return [];
  const frequencies = frequenciesOf(choice);
  const [low, high] = [Math.min(...frequencies), Math.max(...frequencies)];
  const band = setting?.band ?? null;
  const path = [...written.path, 'frequencies'];
  const tone = (nominal_Hz: number, i: number) => {
    const edge =
      low === high ? undefined : nominal_Hz === low ? 'low' : nominal_Hz === high ? 'high' : undefined;
    const at = choice.kind === 'list' ? [...path, i] : path;
    return toneFor(meeting, at, edge ? { nominal_Hz, band, edge } : { nominal_Hz, band });
  };
  // Of a band that reaches too far, its end is worth a complaint and not every frequency on the way.
  const ends = choice.kind === 'band' ? [tone(low, 0), tone(high, 0)] : [];
  return ends.includes(null) ? [] : frequencies.map(tone).filter((found) => found !== null);
}

/** The most that the level can come to on any driven channel; null when it is wrong. */
function mostOf(
  meeting: Meeting,
  written: WrittenSweep,
  level: Level,
  setting: SettledSetting | null,
): number | null {
  if (level.kind === 'mark') {
    const climb = climbNamed(meeting, written, level);
    if (!climb || !setting) return null;
    return sameSetting(meeting, written, climb, setting)
      ? Math.min(climb.most_W * level.share, benchMost_W(setting.channels))
      : null;
  }
  if (!setting) return null;
  const powerOf = ({ load }: LoadedChannel) =>
    level.kind === 'power' ? level.power_W : level.voltage_V ** 2 / load.measured_ohm;
  const most_W = Math.max(...setting.channels.map(powerOf));
  const passed = limitsPassed(setting.channels, powerOf);
  if (passed !== null) {
    complain(
      meeting,
      written,
      'level',
      `${formatQuantity(most_W, 'W')} is more than the bench can take`,
      passed,
    );
    return null;
  }
  warnIfOutOfReach(meeting, written.id, setting.channels, most_W);
  return most_W;
}

/** The climb that a level refers to, when it came before and marks that threshold. */
function climbNamed(
  meeting: Meeting,
  written: WrittenSweep,
  level: Extract<Level, { kind: 'mark' }>,
): ClimbStep | null {
  const note = (what: string, mend: string) => {
    complain(meeting, written, 'level', what, mend);
    return null;
  };
  const climb = meeting.climbs.get(level.climb);
  if (climb === null) return null;
  if (climb === undefined) {
    const later = meeting.sequence.steps.find((step) => step.id === level.climb);
    if (later && later.kind !== 'climb')
      return note(`'${level.climb}' is no climb`, 'name the id of a climb');
    if (later) return note(`the climb '${level.climb}' comes after this sweep`, 'put the climb first');
    // A step that could not be read at all may be the one that is named here.
    if (meeting.sequence.faults.length > 0 && meeting.climbs.size === 0) return null;
    const known = [...meeting.climbs.keys()].join(', ');
    return note(
      `there is no climb with the id '${level.climb}'`,
      known ? `climbs before this sweep: ${known}` : 'put a climb with this id before it',
    );
  }
  if (climb.marks_percent.includes(level.percent)) return climb;
  const marks = climb.marks_percent.map((mark) => formatQuantity(mark, '%')).join(', ');
  return note(`'${level.climb}' has no mark at ${formatQuantity(level.percent, '%')}`, `it marks ${marks}`);
}

function sameSetting(
  meeting: Meeting,
  written: WrittenSweep,
  climb: ClimbStep,
  setting: SettledSetting,
): boolean {
  const sameLoad = climb.load_ohm === setting.load_ohm;
  const sameDriven = climb.driven.join() === setting.driven.join();
  if (!sameLoad)
    complain(
      meeting,
      written,
      'level',
      `'${climb.id}' was climbed into ${formatQuantity(climb.load_ohm, 'ohm')}, this sweep plays into ${formatQuantity(setting.load_ohm, 'ohm')}`,
      'climb into the same load first',
    );
  if (!sameDriven)
    complain(
      meeting,
      written,
      'level',
      `'${climb.id}' drove channels ${climb.driven.join(', ')}, this sweep drives ${setting.driven.join(', ')}`,
      'climb with the same channels driven first',
    );
  return sameLoad && sameDriven;
}

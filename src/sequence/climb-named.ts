import { formatQuantity } from '../units/format.js';
import { complain, type Meeting } from './lay-out.js';
import type { Placed } from './place-steps.js';
import type { ClimbStep, Level } from './plan.js';
import { singleSteps, type WrittenWired } from './written-step.js';

/**
 * The climb that a level refers to, when it came before and marks that threshold: inside a repeat the one of
 * the same cell; else the one with that id; else, if only one cell has it, that one. Null when there is none
 * (and that was noted), or when it has faults of its own.
 *
 * @param key where in the step the level stands
 */
export function climbNamed(
  meeting: Meeting,
  written: Placed<WrittenWired>,
  key: string,
  level: Extract<Level, { kind: 'mark' }>,
): ClimbStep | null {
  const note = (what: string, mend: string) => {
    complain(meeting, written, key, what, mend);
    return null;
  };
  const found = candidates(meeting, written, level.climb);
  if (found.length > 1) {
    const ids = found.map((climb) => climb!.id).join(', ');
    return note(
      `there are ${found.length} climbs '${level.climb}', one a cell of a repeat`,
      `name one: ${ids}`,
    );
  }
  const [climb] = found;
  if (climb === null) return null;
  if (climb === undefined) return notFound(meeting, written, level.climb, note);
  if (climb.marks_percent.includes(level.percent)) return climb;
  const marks = climb.marks_percent.map((mark) => formatQuantity(mark, '%')).join(', ');
  return note(`'${climb.id}' has no mark at ${formatQuantity(level.percent, '%')}`, `it marks ${marks}`);
}

/** What a name may mean; null stands for climbs that have faults of their own. */
function candidates({ climbs }: Meeting, { cell }: Placed, name: string): (ClimbStep | null)[] {
  for (const id of [name + cell.suffix, name]) if (climbs.has(id)) return [climbs.get(id)!];
  const inCells = [...climbs].filter(([id]) => id.startsWith(`${name}/`)).map(([, climb]) => climb);
  return inCells.includes(null) ? [null] : [...new Set(inCells)];
}

function notFound(
  meeting: Meeting,
  written: Placed<WrittenWired>,
  name: string,
  note: (what: string, mend: string) => null,
): null {
  const base = name.split('/')[0]!;
  const later = singleSteps(meeting.sequence.steps).find((step) => step.id === base);
  if (later && later.kind !== 'climb') return note(`'${name}' is no climb`, 'name the id of a climb');
  const before = [...meeting.climbs].filter(([id]) => id.split('/')[0] === base).map(([id]) => id);
  if (later && before.length > 0)
    return note(`'${name}' names no cell of the repeat of '${base}'`, `its cells: ${before.join(', ')}`);
  if (later) return note(`the climb '${name}' comes after this ${written.kind}`, 'put the climb first');
  // A step that could not be read at all may be the one that is named here.
  if (meeting.sequence.faults.length > 0 && meeting.climbs.size === 0) return null;
  const known = [...meeting.climbs.keys()].join(', ');
  return note(
    `there is no climb with the id '${name}'`,
    known ? `climbs before this ${written.kind}: ${known}` : 'put a climb with this id before it',
  );
}

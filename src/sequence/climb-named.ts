import { formatQuantity } from '../units/format.js';
import { complain, type Layout, type MarkingStep } from './lay-out.js';
import type { Level } from './level.js';
import type { Placed } from './placed.js';
import { singleSteps } from './written-step.js';

/**
 * The climb that a level refers to, when it came before and marks that threshold: inside a repeat the one of
 * the same cell; else the one with that id; else, if only one cell has it, that one. Null when there is none
 * (and that was noted), or when it has faults of its own.
 *
 * @param key where in the step the level stands
 */
export function climbNamed(
  layout: Layout,
  written: Placed,
  key: string,
  level: Extract<Level, { kind: 'mark' }>,
): MarkingStep | null {
  const note = (what: string, mend: string) => {
    complain(layout, written, key, what, mend);
    return null;
  };
  const found = candidates(layout, written, level.climb);
  if (found.length > 1) {
    const ids = found.map((climb) => climb!.id).join(', ');
    return note(
      `there are ${found.length} climbs '${level.climb}', one a cell of a repeat`,
      `name one: ${ids}`,
    );
  }
  const [climb] = found;
  if (climb === null) return null;
  if (climb === undefined) return notFound(layout, written, level.climb, note);
  if (climb.marks_percent.includes(level.percent)) return climb;
  const marks = climb.marks_percent.map((mark) => formatQuantity(mark, '%')).join(', ');
  return note(`'${climb.id}' has no mark at ${formatQuantity(level.percent, '%')}`, `it marks ${marks}`);
}

/** What a name may mean; null stands for climbs that have faults of their own. */
function candidates({ climbs }: Layout, { cell }: Placed, name: string): (MarkingStep | null)[] {
  for (const id of [name + cell.suffix, name]) if (climbs.has(id)) return [climbs.get(id)!];
  const inCells = [...climbs].filter(([id]) => id.startsWith(`${name}/`)).map(([, climb]) => climb);
  return inCells.includes(null) ? [null] : [...new Set(inCells)];
}

function notFound(
  layout: Layout,
  written: Placed,
  name: string,
  note: (what: string, mend: string) => null,
): null {
  const base = name.split('/')[0]!;
  const later = singleSteps(layout.sequence.steps).find((step) => step.id === base);
  if (later && !later.marks) return note(`'${name}' is no climb`, 'name the id of a climb');
  const before = [...layout.climbs].filter(([id]) => id.split('/')[0] === base).map(([id]) => id);
  if (later && before.length > 0)
    return note(`'${name}' names no cell of the repeat of '${base}'`, `its cells: ${before.join(', ')}`);
  if (later) return note(`the climb '${name}' comes after this ${written.kind}`, 'put the climb first');
  // A step that could not be read at all may be the one that is named here.
  if (layout.sequence.faults.length > 0 && layout.climbs.size === 0) return null;
  const known = [...layout.climbs.keys()].join(', ');
  return note(
    `there is no climb with the id '${name}'`,
    known ? `climbs before this ${written.kind}: ${known}` : 'put a climb with this id before it',
  );
}

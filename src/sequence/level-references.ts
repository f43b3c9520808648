import { formatQuantity } from '../units/format.js';
import { benchMost_W } from './bench-facts.js';
import { complain, type Layout, type MarkingStep, type SettledSetting } from './lay-out.js';
import type { Level } from './level.js';
import type { Placed } from './repeat-cells.js';
import { singleSteps } from './written-sequence.js';

/**
 * The claimed power that a key of a step needs, watts per channel into the step's load: that of the claim for this very
 * load, else that of the first claim at the same voltage (P R / R'), no higher than what the bench is rated for, with a
 * warning. Null when there is none to be had (and that was noted).
 */
export function claimFor(
  layout: Layout,
  step: Placed,
  key: string,
  setting: SettledSetting | null,
): number | null {
  const { claims } = layout;
  if (claims.length === 0)
    return refuse(layout, step, key, 'this sequence needs a claim', 'give it with --claim "100 W"');
  if (setting === null) return null;
  const claim = claims.find(({ load_ohm }) => load_ohm === setting.load_ohm) ?? claims[0]!;
  const { power_W, load_ohm, note } = claim;
  if (power_W === null)
    return refuse(
      layout,
      step,
      key,
      `no level can be taken from the claim: ${note}`,
      'claim watts per channel',
    );
  if (note !== '') warnOnce(layout, `levels are taken from the claim as ${watts(power_W)}: ${note}`);
  if (load_ohm === setting.load_ohm || load_ohm === null) return power_W;
  return sameVoltage(layout, { power_W, load_ohm }, setting);
}

const watts = (power_W: number): string => formatQuantity(power_W, 'W', { figures: 4, trim: true });

function sameVoltage(
  layout: Layout,
  claim: { readonly power_W: number; readonly load_ohm: number },
  { load_ohm, channels }: SettledSetting,
): number {
  const restated_W = (claim.power_W * claim.load_ohm) / load_ohm;
  const most_W = benchMost_W(channels);
  const [from, to] = [claim.load_ohm, load_ohm].map((ohms) => formatQuantity(ohms, 'ohm'));
  const bound = load_ohm < claim.load_ohm ? ', an upper bound' : '';
  const capped = restated_W > most_W ? `, lowered to the ${watts(most_W)} that the bench is rated for` : '';
  warnOnce(
    layout,
    `the claim is for ${from}: into ${to} its level is taken at the same voltage, ${watts(restated_W)}${bound}${capped}; nobody claims it`,
  );
  return Math.min(restated_W, most_W);
}

function warnOnce({ warnings }: Layout, text: string): void {
  if (!warnings.includes(text)) warnings.push(text);
}

/** Once is enough: it is one thing to do, however many steps ask for it. */
function refuse(layout: Layout, step: Placed, key: string, what: string, mend: string): null {
  if (!layout.faults.some((fault) => fault.what === what)) complain(layout, step, key, what, mend);
  return null;
}

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

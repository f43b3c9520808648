import { formatQuantity } from '../units/format.js';
import { benchMost_W } from './bench-facts.js';
import type { Layout, MarkingStep, SettledSetting, StepLayout } from './lay-out.js';
import type { Level } from './level.js';
import { singleSteps } from './written-sequence.js';

/**
 * The claimed power that a key of a step needs, watts per channel into the step's load: that of the claim for this very
 * load, else that of the first claim at the same voltage (P R / R'), no higher than what the bench is rated for, with a
 * warning. Null when there is none to be had (and that was noted).
 */
export function claimFor(at: StepLayout, key: string): number | null {
  const { layout, setting } = at;
  const { claims } = layout;
  if (claims.length === 0)
    return refuse(at, key, 'this sequence needs a claim', 'give it with --claim "100 W"');
  if (setting === null) return null;
  const own_ohm = setting.base.load_ohm;
  const claim = claims.find(({ load_ohm }) => load_ohm === own_ohm) ?? claims[0]!;
  const { power_W, load_ohm, note } = claim;
  if (power_W === null)
    return refuse(at, key, `no level can be taken from the claim: ${note}`, 'claim watts per channel');
  if (note !== '') warnOnce(layout, `levels are taken from the claim as ${watts(power_W)}: ${note}`);
  if (load_ohm === own_ohm || load_ohm === null) return power_W;
  return sameVoltage(layout, { power_W, load_ohm }, setting);
}

const watts = (power_W: number): string => formatQuantity(power_W, 'W', { figures: 4, trim: true });

function sameVoltage(
  layout: Layout,
  claim: { readonly power_W: number; readonly load_ohm: number },
  { base: { load_ohm }, channels }: SettledSetting,
): number {
  const restated_W = (claim.power_W * claim.load_ohm) / load_ohm;
  const most_W = benchMost_W(channels);
  const [from, to] = [claim.load_ohm, load_ohm].map((ohms) => formatQuantity(ohms, 'ohm'));
  const bound = load_ohm < claim.load_ohm ? ', an upper bound' : '';
  const capped = restated_W > most_W ? `, lowered to the ${watts(most_W)} that the bench is rated for` : '';
  warnOnce(
    layout,
    `the claim is for ${from}: into ${to} its level is taken at the same voltage, ${watts(restated_W)}${bound}${capped}; the claim does not state it`,
  );
  return Math.min(restated_W, most_W);
}

function warnOnce({ warnings }: Layout, text: string): void {
  if (!warnings.includes(text)) warnings.push(text);
}

/** Once is enough: it is one thing to do, however many steps ask for it. */
function refuse(at: StepLayout, key: string, what: string, mend: string): null {
  return at.layout.faults.some((fault) => fault.what === what) ? null : at.complain(key, what, mend);
}

/**
 * The climb that a level refers to, when it came before and marks that threshold: inside a repeat the one of
 * the same cell; else the one with that id; else, if only one cell has it, that one. Null when there is none
 * (and that was noted), or when it has faults of its own.
 *
 * @param key where in the step the level stands
 */
export function climbNamed(
  at: StepLayout,
  key: string,
  level: Extract<Level, { kind: 'mark' }>,
): MarkingStep | null {
  const found = candidates(at, level.climb);
  if (found.length > 1) {
    const ids = found.map((climb) => climb!.id).join(', ');
    const what = `there are ${found.length} climbs '${level.climb}', one a cell of a repeat`;
    return at.complain(key, what, `name one: ${ids}`);
  }
  const [climb] = found;
  if (climb === null) return null;
  if (climb === undefined) return notFound(at, key, level.climb);
  if (climb.marks_percent.includes(level.percent)) return climb;
  const marks = climb.marks_percent.map((mark) => formatQuantity(mark, '%')).join(', ');
  const what = `'${climb.id}' has no mark at ${formatQuantity(level.percent, '%')}`;
  return at.complain(key, what, `it marks ${marks}`);
}

/** What a name may mean; null stands for climbs that have faults of their own. */
function candidates({ layout: { climbs }, written }: StepLayout, name: string): (MarkingStep | null)[] {
  for (const id of [name + written.cell.suffix, name]) if (climbs.has(id)) return [climbs.get(id)!];
  const inCells = [...climbs].filter(([id]) => id.startsWith(`${name}/`)).map(([, climb]) => climb);
  return inCells.includes(null) ? [null] : [...new Set(inCells)];
}

function notFound(at: StepLayout, key: string, name: string): null {
  const { layout, written } = at;
  const base = name.split('/')[0]!;
  const later = singleSteps(layout.sequence.steps).find((step) => step.id === base);
  if (later && !later.marks) return at.complain(key, `'${name}' is not a climb`, 'name the id of a climb');
  const before = [...layout.climbs].filter(([id]) => id.split('/')[0] === base).map(([id]) => id);
  if (later && before.length > 0)
    return at.complain(
      key,
      `'${name}' names no cell of the repeat of '${base}'`,
      `its cells: ${before.join(', ')}`,
    );
  if (later)
    return at.complain(key, `the climb '${name}' comes after this ${written.kind}`, 'put the climb first');
  // A step that could not be read at all may be the one that is named here.
  if (layout.sequence.faults.length > 0 && layout.climbs.size === 0) return null;
  const known = [...layout.climbs.keys()].join(', ');
  return at.complain(
    key,
    `there is no climb with the id '${name}'`,
    known ? `climbs before this ${written.kind}: ${known}` : 'put a climb with this id before it',
  );
}

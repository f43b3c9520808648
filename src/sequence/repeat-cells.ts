import { formatQuantity } from '../units/format.js';
import { channelWords, type DrivenRule, drivenChannels, drivenWord } from './driven-channels.js';
import type { Sequence, WrittenItem, WrittenRepeat, WrittenStep } from './written-sequence.js';

type Repeated = 'load' | 'driven' | 'mains';

/** One combination of what a repeat goes through; also the lack of any, for steps outside. */
export interface Cell {
  /** What it adds to the ids of its steps: `/4ohm/all`. */
  readonly suffix: string;
  /** Suffixes of combinations that come to the same on this bench. */
  readonly aliases: readonly string[];
  /** For people: `4 ohm, channels 1 and 2`. */
  readonly words: string;
  readonly load?: number;
  readonly driven?: DrivenRule;
  readonly mains?: number;
  /** Where in the file each of them stands. */
  readonly places: Readonly<Partial<Record<Repeated, readonly PropertyKey[]>>>;
  /** What the repeat sets, but wrongly. */
  readonly spoilt: ReadonlySet<Repeated>;
}

export const NO_CELL: Cell = { suffix: '', aliases: [], words: '', places: {}, spoilt: new Set() };

/** One value of one dimension, and how it is called. */
interface Choice {
  readonly part: Partial<Pick<Cell, Repeated>>;
  readonly names: readonly string[];
  readonly words: string;
  readonly place: Cell['places'];
}

/** What a repeat says about a bench that is worth telling or wrong. */
export interface CellNotes {
  warn(text: string): void;
  complain(path: readonly PropertyKey[], what: string, mend: string): void;
}

/** A dimension that is not repeated has one choice that sets nothing. */
const UNSET: readonly Choice[] = [{ part: {}, names: [], words: '', place: {} }];

const shortNumber = (value: number) => String(Number(value.toPrecision(6)));

function plainChoices(
  repeat: WrittenRepeat,
  notes: CellNotes,
  dimension: { key: 'loads' | 'mains'; sets: 'load' | 'mains'; unit: 'ohm' | 'V'; after: string },
): readonly Choice[] {
  const { key, sets, unit, after } = dimension;
  const values = repeat.keys[key];
  if (!values) return UNSET;
  const names = values.map((value) => `${shortNumber(value)}${unit}`);
  return values.flatMap((value, i) => {
    const place = [...repeat.path, key, i];
    if (names.indexOf(names[i]!) < i) {
      notes.complain(place, `${formatQuantity(value, unit)} is listed twice`, 'list each once');
      return [];
    }
    const words = `${formatQuantity(value, unit, { figures: 6, trim: true })}${after}`;
    return [{ part: { [sets]: value }, names: [names[i]!], words, place: { [sets]: place } }];
  });
}

/**
 * The driven sets. A word that comes to the same channels as an earlier one is another name for it; one that
 * needs more channels than the bench has is left out, as long as another remains: a sequence from elsewhere
 * that compares one, two and all channels is still good on a bench with two, or with one.
 */
function drivenChoices(repeat: WrittenRepeat, notes: CellNotes, present: readonly number[]) {
  const rules = repeat.keys.driven;
  if (!rules) return UNSET;
  const choices: (Choice & { readonly key: string })[] = [];
  for (const [i, rule] of rules.entries()) {
    const { driven, missing } = drivenChannels(rule, present);
    const name = drivenWord(rule);
    if (missing.length > 0 && typeof rule === 'string' && rules.length > 1) {
      notes.warn(`${repeat.id}: the bench has too few channels for '${rule}', which is left out`);
      continue;
    }
    const same = choices.findIndex((choice) => choice.key === driven.join());
    if (same >= 0) {
      const first = choices[same]!;
      notes.warn(
        `${repeat.id}: '${name}' and '${first.names[0]}' are the same channels here, and are played once`,
      );
      choices[same] = { ...first, names: [...first.names, name] };
      continue;
    }
    const place = { driven: [...repeat.path, 'driven', i] };
    choices.push({
      key: driven.join(),
      part: { driven: rule },
      names: [name],
      words: channelWords(driven),
      place,
    });
  }
  return choices;
}

/** There and back: what follows a list that is gone through again and again begins where it ended. */
const snaked = <T>(list: readonly T[], round: number): readonly T[] =>
  round % 2 === 0 ? list : [...list].reverse();

function cellOf(parts: readonly Choice[], spoilt: Cell['spoilt']): Cell {
  const suffixes = parts.reduce<string[]>(
    (made, { names }) =>
      names.length === 0 ? made : names.flatMap((name) => made.map((suffix) => `${suffix}/${name}`)),
    [''],
  );
  const words = parts.map((part) => part.words).filter((text) => text !== '');
  return Object.assign({}, ...parts.map(({ part }) => part), {
    suffix: suffixes[0],
    aliases: suffixes.slice(1),
    words: words.join(', '),
    places: Object.assign({}, ...parts.map(({ place }) => place)),
    spoilt,
  });
}

/**
 * The combinations of a repeat in the order that asks the fewest changes of the operator: each pair of load
 * and mains once, with all driven sets inside, and from one pair to the next only one of the two changes.
 *
 * @param present channels of the bench
 */
export function cellsOf(repeat: WrittenRepeat, present: readonly number[], notes: CellNotes): Cell[] {
  const loads = plainChoices(repeat, notes, { key: 'loads', sets: 'load', unit: 'ohm', after: '' });
  const mains = plainChoices(repeat, notes, { key: 'mains', sets: 'mains', unit: 'V', after: ' mains' });
  const driven = drivenChoices(repeat, notes, present);
  const spoilt = new Set<Repeated>();
  for (const [key, sets] of [
    ['loads', 'load'],
    ['driven', 'driven'],
    ['mains', 'mains'],
  ] as const)
    if (repeat.spoilt.has(key)) spoilt.add(sets);
  return loads.flatMap((load, i) =>
    snaked(mains, i).flatMap((supply, j) =>
      snaked(driven, i * mains.length + j).map((set) => cellOf([load, set, supply], spoilt)),
    ),
  );
}

/** A written step where it will be played: its id carries the cell of the repetition it belongs to. */
export type Placed<Keys extends object = object> = WrittenStep<Keys> & { readonly cell: Cell };

/** Nobody looks through a longer plan, and a slip of the pen should not ask for a million steps. */
const MOST_STEPS = 2000;

const placed = (step: WrittenStep, cell: Cell): Placed => ({ ...step, id: step.id + cell.suffix, cell });

/**
 * The steps of a sequence with every repeat written out, in the order in which the operator has the least to do.
 *
 * @param present channels of the bench
 */
export function placeSteps(sequence: Sequence, present: readonly number[], notes: CellNotes): Placed[] {
  const places = sequence.steps.map((step) => ({ step, cells: cellsFor(step, present, notes) }));
  const count = places.reduce(
    (sum, { step, cells }) => sum + cells.length * (step.kind === 'repeat' ? step.steps.length : 1),
    0,
  );
  if (count > MOST_STEPS) {
    notes.complain(
      ['steps'],
      `the repeats make ${count} steps`,
      `a plan has at most ${MOST_STEPS}; split the sequence`,
    );
    return [];
  }
  return places.flatMap(({ step, cells }) =>
    step.kind === 'repeat'
      ? cells.flatMap((cell) => step.steps.map((inside) => placed(inside, cell)))
      : [placed(step, NO_CELL)],
  );
}

function cellsFor(step: WrittenItem, present: readonly number[], notes: CellNotes): Cell[] {
  return step.kind === 'repeat' ? cellsOf(step, present, notes) : [NO_CELL];
}

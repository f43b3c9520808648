import type { Placed } from './placed.js';
import { type Cell, type CellNotes, cellsOf, NO_CELL } from './repeat-cells.js';
import type { Sequence } from './written-sequence.js';
import type { WrittenItem, WrittenStep } from './written-step.js';

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

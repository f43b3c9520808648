import type { Cell } from './repeat-cells.js';
import type { WrittenStep } from './written-step.js';

/** A written step where it will be played: its id carries the cell of the repetition it belongs to. */
export type Placed<Keys extends object = object> = WrittenStep<Keys> & { readonly cell: Cell };

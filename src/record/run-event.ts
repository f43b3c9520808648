import type { eventSchema } from './schema/event-schema.js';
import type { Read } from './schema/fields.js';

/**
 * What happened in a run, in the order it happened. Whatever is later asked of a run is a field here: sentences are made on
 * display, and none is read back.
 */
export type RunEvent =
  | Read<typeof eventSchema>
  /** Of a later version, which calls it `named`: to be shown, and for nothing else. */
  | { readonly at_s: number; readonly kind: 'unknown'; readonly named: string; readonly fields: object };

/** How a step is entered. */
export type Entry = Extract<RunEvent, { kind: 'step-entered' }>['entry'];

import { fromJson, toJson } from '../../record/exact-json.js';
import { knownEvent, storedEvent } from '../../record/known-event.js';
import type { RunEvent } from '../../record/run-event.js';
import type { Row } from './insert-into.js';

/** The columns of `events` that an event is kept in: the words that were told, and in `detail` the other fields of its kind. */
export const EVENT_COLUMNS = ['at_s', 'kind', 'text', 'detail'] as const;

export type EventRow = Row<(typeof EVENT_COLUMNS)[number]>;

export function toEventRow(event: RunEvent): EventRow {
  const { at_s, kind, ...fields } = storedEvent(event);
  const { text, ...detail } = fields as { readonly text?: unknown };
  // The column takes no NULL: an event without a text has an empty one. `detail` tells one from the other.
  if (typeof text !== 'string') return { at_s, kind, text: '', detail: toJson(fields) };
  return { at_s, kind, text, detail: toJson({ ...detail, text: null }) };
}

/** The inverse of `toEventRow`. */
export function fromEventRow({ at_s, kind, text, detail }: EventRow): RunEvent {
  const fields = fromJson(detail as string) as object;
  const told = 'text' in fields ? { text } : {};
  return knownEvent({ at_s: at_s as number, kind: kind as string, ...fields, ...told });
}

import type { RunEvent } from './run-event.js';
import { eventSchema, type storedEventSchema } from './schema/event-schema.js';
import type { Read } from './schema/fields.js';

/** An event as a file holds it, which may be one of a later version. */
export type StoredEvent = Read<typeof storedEventSchema>;

/** An event out of a file; `unknown` where this version does not know its kind, or does not find in it what belongs to that. */
export function knownEvent(stored: StoredEvent): RunEvent {
  if (eventSchema.safeParse(stored).success) return stored as RunEvent;
  const { at_s, kind, ...fields } = stored;
  return { at_s, kind: 'unknown', named: kind, fields };
}

/** The inverse of `knownEvent`. */
export function storedEvent(event: RunEvent): StoredEvent {
  if (event.kind !== 'unknown') return event;
  return { at_s: event.at_s, kind: event.named, ...event.fields };
}

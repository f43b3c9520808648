import type { z } from 'zod';
import type { Fault } from './document-error.js';
import { checkAgainst } from './parse-yaml.js';
import type { YamlDocument } from './yaml-document.js';

/** What could be read of a map although parts of it are wrong. */
export interface Salvaged<T> {
  /** The keys that are right. */
  readonly value: Partial<T>;
  /** The known keys that were written but are wrong: nothing may be concluded from their absence. */
  readonly spoilt: ReadonlySet<string>;
  readonly faults: readonly Fault[];
}

/**
 * Reads a map key by key, so that one wrong value does not hide what else is wrong further on.
 *
 * @param above the keys that lead to the map in `document`
 */
export function salvage<S extends z.ZodRawShape>(
  document: YamlDocument,
  part: unknown,
  schema: z.ZodObject<S>,
  above: readonly PropertyKey[],
): Salvaged<z.output<z.ZodObject<S>>> {
  type Value = z.output<z.ZodObject<S>>;
  const whole = checkAgainst(document, part, schema, above);
  if ('value' in whole) return { value: whole.value as Partial<Value>, spoilt: new Set(), faults: [] };
  const spoilt = new Set<string>();
  const value: Record<string, unknown> = {};
  const written = typeof part === 'object' && part !== null ? (part as Record<string, unknown>) : {};
  for (const [key, field] of Object.entries(schema.shape)) {
    if (!Object.hasOwn(written, key)) continue;
    const outcome = (field as z.ZodType).safeParse(written[key]);
    if (outcome.success) value[key] = outcome.data;
    else spoilt.add(key);
  }
  return { value: value as Partial<Value>, spoilt, faults: whole.faults };
}

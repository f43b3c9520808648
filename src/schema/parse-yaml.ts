import type { z } from 'zod';
import { DocumentError, type Fault } from './document-error.js';
import { explainIssue, issueWords, tellingIssues } from './explain-issue.js';
import { YamlDocument } from './yaml-document.js';

/** What `checkAgainst` gives: a value, or what is wrong with it. */
export type Checked<T> = { readonly value: T } | { readonly faults: readonly Fault[] };

/**
 * Checks one part of a document against a schema.
 *
 * @param above the keys that lead to the part; the faults count from there.
 */
export function checkAgainst<T>(
  document: YamlDocument,
  part: unknown,
  schema: z.ZodType<T>,
  above: readonly PropertyKey[] = [],
): Checked<T> {
  const outcome = schema.safeParse(part, { error: issueWords });
  if (outcome.success) return { value: outcome.data };
  const explained = tellingIssues(outcome.error.issues).flatMap((issue) => explainIssue(issue, above));
  return { faults: explained.map(({ path, what, mend, atKey }) => document.fault(path, what, mend, atKey)) };
}

/**
 * Reads YAML text, or its bytes as UTF-8, into a checked value.
 *
 * Only plain data is read: no references, tags, directives or second documents, at most 256 KiB and
 * 64 levels. Whatever the text holds, it gives a value that fits `schema` or one DocumentError.
 *
 * @throws DocumentError listing every fault with line, column, path and what would be right.
 */
export function parseYaml<T>(
  text: string | Uint8Array,
  schema: z.ZodType<T>,
  source: { readonly file: string },
): T {
  const document = new YamlDocument(text, source.file);
  const checked = checkAgainst(document, document.data, schema);
  if ('faults' in checked) throw new DocumentError(source.file, checked.faults);
  return checked.value;
}

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

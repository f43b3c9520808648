import type { z } from 'zod';
import { BundleInvalid } from './bundle-errors.js';
import { cutLists, excessOf } from './cut-lists.js';
import { MOST_COMMAS } from './limits.js';
import { parsePiece } from './parse-json.js';

/** What the items of a long list must be, and how many there may be. */
export interface LongList {
  readonly item: z.ZodType;
  readonly most: number;
}

/** No message shows so many. */
const ENOUGH_FAULTS = 100;

/**
 * As `parseJson`, for an object with long lists: these are parsed and checked item by item, so that a long document needs
 * little more memory than its text and what comes of it.
 *
 * @param schema of the whole
 * @param lists the long ones, by their keys, as the schema has them too
 * @throws BundleInvalid
 */
export function parseLongJson<T extends object>(
  text: string,
  schema: z.ZodType<T>,
  lists: Readonly<Record<string, LongList>>,
  file: string,
  document: string,
): T {
  const excess = excessOf(text, MOST_COMMAS);
  if (excess !== null) throw new BundleInvalid(file, document, [excess]);
  const faults: string[] = [];
  const items: Record<string, unknown[]> = {};
  const rest = cutLists(text, new Set(Object.keys(lists)), (name, part) => {
    if (faults.length >= ENOUGH_FAULTS) return;
    items[name] ??= [];
    const [own, { item, most }] = [items[name], lists[name]!];
    if (own.length === most) faults.push(`${name}: more than ${most} items`);
    const piece = parsePiece(part, item, [name, String(own.length)]);
    own.push(piece.faults === null ? piece.value : null);
    faults.push(...(piece.faults ?? []).slice(0, ENOUGH_FAULTS));
  });
  const around = parsePiece(rest, schema);
  if (around.faults !== null) throw new BundleInvalid(file, document, [...around.faults, ...faults]);
  // Only the first list of a name was cut out: another one is still there.
  const twice = Object.keys(items).filter((name) => lengthOf(around.value, name) !== 0);
  faults.push(...twice.map((name) => `${name}: it stands there twice`));
  if (faults.length > 0) throw new BundleInvalid(file, document, faults);
  return { ...around.value, ...items };
}

function lengthOf(holder: object, name: string): number {
  return ((holder as Record<string, unknown>)[name] as readonly unknown[]).length;
}

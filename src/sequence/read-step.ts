import type { z } from 'zod';
import type { Fault } from '../schema/document-error.js';
import { checkAgainst } from '../schema/parse-yaml.js';
import { salvage } from '../schema/salvage.js';
import type { YamlDocument } from '../schema/yaml-document.js';
import {
  askField,
  climbSchema,
  holdSchema,
  maxPowerSchema,
  quietSchema,
  repeatSchema,
  restField,
  sweepSchema,
  warmUpSchema,
} from './sequence-schema.js';
import type { WrittenRepeat, WrittenSingle, WrittenStep } from './written-step.js';

/** Where steps are read from, and what was found wrong on the way. */
interface Reading {
  readonly document: YamlDocument;
  readonly faults: Fault[];
  /** What is right but worth a line. */
  readonly notices: string[];
}

/** Where an item stands: the keys to it, and its number from 1 (`3`, or `3.1` inside a repeat) for its id. */
interface Item {
  readonly path: readonly PropertyKey[];
  readonly number: string;
}

const SCHEMAS = {
  'warm-up': warmUpSchema,
  climb: climbSchema,
  sweep: sweepSchema,
  'max-power': maxPowerSchema,
  hold: holdSchema,
  quiet: quietSchema,
} satisfies Record<string, z.ZodObject>;

/** What older files call a kind. Their ids keep the word that was written, so that runs of them can be resumed. */
const ALIASES: Readonly<Record<string, keyof typeof SCHEMAS>> = { ceiling: 'max-power' };

const SINGLE = ['ask', 'rest', ...Object.keys(SCHEMAS)] as const;
const KINDS = [...SINGLE, 'repeat'] as const;

/** The steps of a list as written; faults are noted, and what cannot be read at all is left out. */
export function readSteps(
  reading: Reading,
  list: readonly unknown[],
  path: readonly PropertyKey[],
): WrittenStep[] {
  return list
    .map((part, i) => readStep(reading, part, { path: [...path, i], number: String(i + 1) }, KINDS))
    .filter((step) => step !== null);
}

/** Reads one item of a list of steps, which is a map with its kind as only key. */
function readStep(reading: Reading, part: unknown, item: Item, kinds: readonly string[]): WrittenStep | null {
  const { document, faults } = reading;
  const keys = typeof part === 'object' && part !== null ? Object.keys(part) : [];
  const alias = ALIASES[keys[0] ?? ''];
  const kind = kinds.find((candidate) => candidate === (alias ?? keys[0]));
  if (!kind || keys.length !== 1) {
    const nested = keys[0] === 'repeat' && !kind;
    const several = keys.length > 1 && kind;
    const what = nested
      ? 'a repeat inside a repeat'
      : several
        ? 'more than one kind of step in one item'
        : 'no step that is known';
    const mend = nested
      ? 'give loads, driven and mains to one repeat'
      : `write '- ${kinds.join(":', '- ")}:', and what belongs to it inside`;
    const at = keys.length > 0 ? [...item.path, keys[several ? 1 : 0]!] : item.path;
    faults.push(document.fault(at, what, mend, true));
    return null;
  }
  const content = (part as Record<string, unknown>)[keys[0]!];
  if (kind === 'ask' || kind === 'rest') return readPlain(reading, kind, content, item);
  if (kind === 'repeat') return readRepeat(reading, content, item);
  if (alias) noteOnce(reading, `'${keys[0]}' is an older name of the step '${alias}'`);
  return readKeys(reading, kind as keyof typeof SCHEMAS, content, { ...item, written: keys[0]! });
}

function readPlain(
  { document, faults }: Reading,
  kind: 'ask' | 'rest',
  content: unknown,
  item: Item,
): WrittenSingle | null {
  const path = [...item.path, kind];
  const field: z.ZodType<string | number> = kind === 'ask' ? askField : restField;
  const checked = checkAgainst<string | number>(document, content, field, path);
  if ('faults' in checked) {
    faults.push(...checked.faults);
    return null;
  }
  const base = { id: `${kind}-${item.number}`, path };
  return kind === 'ask'
    ? { ...base, kind, text: String(checked.value) }
    : { ...base, kind, seconds: Number(checked.value) };
}

function readKeys(
  { document, faults }: Reading,
  kind: keyof typeof SCHEMAS,
  content: unknown,
  item: Item & { readonly written: string },
): WrittenSingle {
  const path = [...item.path, item.written];
  const read = salvage(document, content, SCHEMAS[kind] as z.ZodObject, path);
  faults.push(...read.faults);
  const id = (read.value as { id?: string }).id ?? `${item.written}-${item.number}`;
  // The schema that the kind names is the one that the keys were read by.
  return { kind, id, path, keys: read.value, spoilt: read.spoilt } as WrittenSingle;
}

function noteOnce({ notices }: Reading, text: string): void {
  if (!notices.includes(text)) notices.push(text);
}

function readRepeat(reading: Reading, content: unknown, item: Item): WrittenRepeat {
  const { document, faults } = reading;
  const path = [...item.path, 'repeat'];
  const { value: keys, spoilt, faults: found } = salvage(document, content, repeatSchema, path);
  faults.push(...found);
  const dimensions = (['loads', 'driven', 'mains'] as const).filter((key) => keys[key] || spoilt.has(key));
  if (found.length === 0 && dimensions.length === 0)
    faults.push(
      document.fault(path, 'nothing to repeat over', 'give one or more of loads, driven and mains', true),
    );
  const steps = (keys.steps ?? [])
    .map((part, i) =>
      readStep(reading, part, { path: [...path, 'steps', i], number: `${item.number}.${i + 1}` }, SINGLE),
    )
    .filter((step): step is WrittenSingle => step !== null);
  noteWhatIsRepeated(reading, steps, dimensions);
  return { kind: 'repeat', id: `repeat-${item.number}`, path, keys, spoilt, steps };
}

/** A step cannot set for itself what it is repeated over. */
function noteWhatIsRepeated(
  { document, faults }: Reading,
  steps: readonly WrittenSingle[],
  dimensions: readonly ('loads' | 'driven' | 'mains')[],
): void {
  for (const dimension of dimensions) {
    const key = dimension === 'loads' ? 'load' : dimension;
    for (const step of steps) {
      if (!('keys' in step) || (step.keys[key] === undefined && !step.spoilt.has(key))) continue;
      const what = `'${key}' is set by the repeat around this step`;
      faults.push(document.fault([...step.path, key], what, 'leave it out here', true));
    }
  }
}

import { createHash } from 'node:crypto';
import type { Fault } from '../schema/document-error.js';
import { checkAgainst, type Salvaged, salvage } from '../schema/parse-yaml.js';
import { YamlDocument } from '../schema/yaml-document.js';
import { type AnyStepPlan, planOfKind } from './plan.js';
import { STEP_KINDS, type StepKindName } from './step-base.js';
import {
  headerSchema,
  repeatSchema,
  type Sequence,
  type WrittenItem,
  type WrittenRepeat,
  type WrittenStep,
} from './written-sequence.js';

/**
 * Reads a sequence file. It can name frequencies, levels, loads and channels, never a program or a path.
 *
 * @param source the text, or its bytes
 * @param file name for messages
 * @throws DocumentError when the text is not plain YAML; all other faults are in the result
 */
export function readSequence(source: string | Uint8Array, file: string): Sequence {
  const document = new YamlDocument(source, file);
  const { value: header, spoilt, faults: headerFaults } = salvage(document, document.data, headerSchema, []);
  const faults = [...headerFaults];
  const notices: string[] = [];
  const steps = readSteps({ document, faults, notices }, header.steps ?? [], ['steps']);
  const sha256 = createHash('sha256').update(document.text).digest('hex');
  return { document, header, spoilt, steps, faults, notices, sha256 };
}

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

/** What older files call a kind. Their ids keep the word that was written, so that runs of them can be resumed. */
const ALIASES: ReadonlyMap<string, StepKindName> = new Map([['ceiling', 'max-power']]);

const REPEATABLE = STEP_KINDS.filter((kind) => planOfKind(kind).repeats);
const KINDS = [...STEP_KINDS, 'repeat'] as const;

/** The steps of a list as written; faults are noted, and what cannot be read at all is left out. */
export function readSteps(
  reading: Reading,
  list: readonly unknown[],
  path: readonly PropertyKey[],
): WrittenItem[] {
  return list
    .map((part, i) => readItem(reading, part, { path: [...path, i], number: String(i + 1) }, KINDS))
    .filter((item) => item !== null);
}

/** Reads one item of a list of steps, which is a map with its kind as only key. */
function readItem(
  reading: Reading,
  part: unknown,
  item: Item,
  kinds: readonly (StepKindName | 'repeat')[],
): WrittenItem | null {
  const keys = typeof part === 'object' && part !== null ? Object.keys(part) : [];
  const written = keys[0] ?? '';
  const kind = kinds.find((candidate) => candidate === (ALIASES.get(written) ?? written));
  if (!kind || keys.length !== 1) {
    noteUnknown(reading, item, keys, kinds);
    return null;
  }
  const content = (part as Record<string, unknown>)[written];
  if (kind === 'repeat') return readRepeat(reading, content, item);
  if (written !== kind) noteOnce(reading, `'${written}' is an older name of the step '${kind}'`);
  return readStep(reading, kind, content, { ...item, written });
}

function noteUnknown(
  { document, faults }: Reading,
  item: Item,
  keys: readonly string[],
  kinds: readonly string[],
): void {
  const known = kinds.includes(keys[0] ?? '');
  const nested = keys[0] === 'repeat' && !known;
  const several = keys.length > 1 && known;
  const what = nested
    ? 'a repeat inside a repeat'
    : several
      ? 'more than one kind of step in one item'
      : 'not a known step';
  const mend = nested
    ? 'give loads, driven and mains to one repeat'
    : `write '- ${kinds.join(":', '- ")}:', with its keys below`;
  const at = keys.length > 0 ? [...item.path, keys[several ? 1 : 0]!] : item.path;
  faults.push(document.fault(at, what, mend, true));
}

function readStep(
  reading: Reading,
  kind: StepKindName,
  content: unknown,
  item: Item & { readonly written: string },
): WrittenStep | null {
  const path = [...item.path, item.written];
  const plan = planOfKind(kind);
  const { value, spoilt, faults } = readKeys(reading, plan, content, path);
  reading.faults.push(...faults);
  // A single value that is wrong leaves nothing to go on with.
  if (plan.short !== null && spoilt.has(plan.short)) return null;
  const id = (value as { readonly id?: string }).id ?? `${item.written}-${item.number}`;
  return { kind, id, path, keys: value, spoilt, marks: plan.needs === 'signal' && plan.marks };
}

/** The keys of a step, or the one that a content stands for which is no map. */
function readKeys(
  { document }: Reading,
  { schema, short }: AnyStepPlan,
  content: unknown,
  path: readonly PropertyKey[],
): Salvaged<object> {
  const isMap = typeof content === 'object' && content !== null && !Array.isArray(content);
  if (short === null || isMap) return salvage(document, content, schema, path);
  const checked = checkAgainst(document, content, schema.shape[short] as typeof schema, path);
  return 'faults' in checked
    ? { value: {}, spoilt: new Set([short]), faults: checked.faults }
    : { value: { [short]: checked.value }, spoilt: new Set(), faults: [] };
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
      readItem(reading, part, { path: [...path, 'steps', i], number: `${item.number}.${i + 1}` }, REPEATABLE),
    )
    .filter((step): step is WrittenStep => step !== null && step.kind !== 'repeat');
  noteWhatIsRepeated(reading, steps, dimensions);
  return { kind: 'repeat', id: `repeat-${item.number}`, path, keys, spoilt, steps };
}

/** A step cannot set for itself what it is repeated over. */
function noteWhatIsRepeated(
  { document, faults }: Reading,
  steps: readonly WrittenStep[],
  dimensions: readonly ('loads' | 'driven' | 'mains')[],
): void {
  for (const dimension of dimensions) {
    const key = dimension === 'loads' ? 'load' : dimension;
    for (const step of steps) {
      if (!Object.hasOwn(step.keys, key) && !step.spoilt.has(key)) continue;
      const what = `'${key}' is set by the repeat around this step`;
      faults.push(document.fault([...step.path, key], what, 'leave it out here', true));
    }
  }
}

import { createHash } from 'node:crypto';
import type { Fault } from '../schema/document-error.js';
import { checkAgainst } from '../schema/parse-yaml.js';
import { salvage } from '../schema/salvage.js';
import { YamlDocument } from '../schema/yaml-document.js';
import {
  askField,
  type ClimbKeys,
  climbSchema,
  type Header,
  headerSchema,
  restField,
  type SweepKeys,
  sweepSchema,
} from './sequence-schema.js';

/** A step as written: units read, nothing filled in. */
interface Written {
  readonly id: string;
  /** The keys that lead to it in the file. */
  readonly path: readonly PropertyKey[];
}

export interface WrittenAsk extends Written {
  readonly kind: 'ask';
  readonly text: string;
}

export interface WrittenRest extends Written {
  readonly kind: 'rest';
  readonly seconds: number;
}

interface WrittenKeys<K> extends Written {
  readonly keys: Partial<K>;
  /** Keys whose value is wrong. */
  readonly spoilt: ReadonlySet<string>;
}

export interface WrittenClimb extends WrittenKeys<ClimbKeys> {
  readonly kind: 'climb';
}

export interface WrittenSweep extends WrittenKeys<SweepKeys> {
  readonly kind: 'sweep';
}

export type WrittenStep = WrittenAsk | WrittenRest | WrittenClimb | WrittenSweep;

/**
 * A sequence file as read. What is wrong with it stands in `faults`: `makePlan` adds what is wrong on the
 * given bench and throws all of it at once.
 */
export interface Sequence {
  readonly document: YamlDocument;
  readonly header: Partial<Header>;
  /** Header keys whose value is wrong. */
  readonly spoilt: ReadonlySet<string>;
  readonly steps: readonly WrittenStep[];
  readonly faults: readonly Fault[];
  readonly sha256: string;
}

const KINDS = ['ask', 'climb', 'sweep', 'rest'] as const;

/** Reads one item of `steps`, which is a map with its kind as only key. Null when the kind is unknown. */
function readStep(document: YamlDocument, part: unknown, index: number, faults: Fault[]): WrittenStep | null {
  const path: PropertyKey[] = ['steps', index];
  const keys = typeof part === 'object' && part !== null ? Object.keys(part) : [];
  const kind = KINDS.find((candidate) => candidate === keys[0]);
  if (!kind || keys.length !== 1) {
    const what = keys.length > 1 && kind ? 'more than one kind of step in one item' : 'no step that is known';
    const at = keys.length > 0 ? [...path, keys[kind ? 1 : 0]!] : path;
    const mend = `write '- ${KINDS.join(":', '- ")}:', and what belongs to it inside`;
    faults.push(document.fault(at, what, mend, true));
    return null;
  }
  const content = (part as Record<string, unknown>)[kind];
  const inside = [...path, kind];
  const made = `${kind}-${index + 1}`;
  if (kind === 'ask' || kind === 'rest') {
    const checked = checkAgainst<string | number>(
      document,
      content,
      kind === 'ask' ? askField : restField,
      inside,
    );
    if ('faults' in checked) {
      faults.push(...checked.faults);
      return null;
    }
    const base = { id: made, path: inside };
    return kind === 'ask'
      ? { ...base, kind, text: String(checked.value) }
      : { ...base, kind, seconds: Number(checked.value) };
  }
  const read =
    kind === 'climb'
      ? { kind, ...keysOf(salvage(document, content, climbSchema, inside), faults) }
      : { kind, ...keysOf(salvage(document, content, sweepSchema, inside), faults) };
  return { ...read, id: read.keys.id ?? made, path: inside } as WrittenStep;
}

function keysOf<K>(
  read: { value: K; spoilt: ReadonlySet<string>; faults: readonly Fault[] },
  faults: Fault[],
) {
  faults.push(...read.faults);
  return { keys: read.value, spoilt: read.spoilt };
}

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
  const steps = (header.steps ?? [])
    .map((part, index) => readStep(document, part, index, faults))
    .filter((step) => step !== null);
  const sha256 = createHash('sha256').update(document.text).digest('hex');
  return { document, header, spoilt, steps, faults, sha256 };
}

import { z } from 'zod';
import type { Fault } from '../schema/document-error.js';
import { label, prose } from '../schema/fields.js';
import { purposeFields } from '../schema/sequence-purpose.js';
import type { YamlDocument } from '../schema/yaml-document.js';
import type { StepKindName } from './step-base.js';
import { drivenField, loadField, mainsField, settingFields } from './written-fields.js';

/** The file without its steps. */
export const headerSchema = z.strictObject({
  name: label(100),
  about: prose(4000).optional(),
  ...purposeFields,
  ...settingFields,
  steps: z.array(z.unknown()).min(1).max(200),
});

const several = <T>(item: z.ZodType<T>) => z.array(item).min(1).max(20).optional();

export const repeatSchema = z.strictObject({
  loads: several(loadField),
  driven: several(drivenField),
  mains: several(mainsField),
  steps: z.array(z.unknown()).min(1).max(200),
});

export type Header = z.output<typeof headerSchema>;
export type RepeatKeys = z.output<typeof repeatSchema>;

/** The keys of an item as written: units read, nothing filled in. */
interface WrittenKeys<Keys extends object> {
  readonly id: string;
  /** The keys that lead to it in the file. */
  readonly path: readonly PropertyKey[];
  readonly keys: Partial<Keys>;
  /** Keys whose value is wrong. */
  readonly spoilt: ReadonlySet<string>;
}

/** A step that stands for itself. */
export interface WrittenStep<Keys extends object = object> extends WrittenKeys<Keys> {
  readonly kind: StepKindName;
  /** Whether levels of later steps may refer to it. */
  readonly marks: boolean;
}

/** Steps to be gone through for every combination of loads, mains and driven channels. */
export interface WrittenRepeat extends WrittenKeys<RepeatKeys> {
  readonly kind: 'repeat';
  readonly steps: readonly WrittenStep[];
}

export type WrittenItem = WrittenStep | WrittenRepeat;

/** All steps of a file, those inside a repeat too, in the order written. */
export function singleSteps(items: readonly WrittenItem[]): WrittenStep[] {
  return items.flatMap((item) => (item.kind === 'repeat' ? item.steps : [item]));
}

/**
 * A sequence file as read. What is wrong with it stands in `faults`: `makePlan` adds what is wrong on the
 * given bench and throws all of it at once.
 */
export interface Sequence {
  readonly document: YamlDocument;
  readonly header: Partial<Header>;
  /** Header keys whose value is wrong. */
  readonly spoilt: ReadonlySet<string>;
  readonly steps: readonly WrittenItem[];
  readonly faults: readonly Fault[];
  /** What is right but worth a line: an older name of a key. */
  readonly notices: readonly string[];
  readonly sha256: string;
}

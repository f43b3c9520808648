import { createHash } from 'node:crypto';
import type { Fault } from '../schema/document-error.js';
import { salvage } from '../schema/salvage.js';
import { YamlDocument } from '../schema/yaml-document.js';
import { readSteps } from './read-step.js';
import { type Header, headerSchema } from './sequence-schema.js';
import type { WrittenStep } from './written-step.js';

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
  /** What is right but worth a line: an older name of a key. */
  readonly notices: readonly string[];
  readonly sha256: string;
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
  const notices: string[] = [];
  const steps = readSteps({ document, faults, notices }, header.steps ?? [], ['steps']);
  const sha256 = createHash('sha256').update(document.text).digest('hex');
  return { document, header, spoilt, steps, faults, notices, sha256 };
}

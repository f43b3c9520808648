import type { Fault } from '../schema/document-error.js';
import type { YamlDocument } from '../schema/yaml-document.js';
import type { Header } from './sequence-schema.js';
import type { WrittenItem } from './written-step.js';

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

import { createHash } from 'node:crypto';
import { salvage } from '../schema/salvage.js';
import { YamlDocument } from '../schema/yaml-document.js';
import { readSteps } from './read-step.js';
import { headerSchema } from './sequence-schema.js';
import type { Sequence } from './written-sequence.js';

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

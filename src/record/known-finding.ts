import type { Finding, StoredFinding } from './finding.js';
import { findingSchema } from './schema/finding-schema.js';

/** Whether this version knows every name in a finding, and finds in it what belongs to those names. */
export const isKnownFinding = (finding: StoredFinding): finding is Finding =>
  findingSchema.safeParse(finding).success;

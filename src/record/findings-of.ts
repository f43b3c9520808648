import type { Finding, StoredFinding } from './finding.js';
import type { RunRecord } from './run-record.js';
import { findingSchema } from './schema/finding-schema.js';

/** Whether this version knows every name in a finding, and finds in it what belongs to those names. */
export const isKnownFinding = (finding: StoredFinding): finding is Finding =>
  findingSchema.safeParse(finding).success;

const known = new WeakMap<object, readonly Finding[]>();

/** What the steps of a run concluded, as far as this version knows it. */
export function findingsOf({ findings }: Pick<RunRecord, 'findings'>): readonly Finding[] {
  const found = known.get(findings) ?? findings.filter(isKnownFinding);
  known.set(findings, found);
  return found;
}

/** What a later version concluded that this one does not know: to be shown by its names, and for nothing else. */
export const unknownFindingsOf = ({ findings }: Pick<RunRecord, 'findings'>): readonly StoredFinding[] =>
  findings.filter((finding) => !isKnownFinding(finding));

import type { Finding, StoredFinding } from './finding.js';
import { findingsOfResults } from './findings-of-results.js';
import { isKnownFinding } from './known-finding.js';
import type { RunRecord } from './run-record.js';

const known = new WeakMap<object, readonly Finding[]>();

/** What the steps of a run concluded, as far as this version knows it. */
export function findingsOf({
  findings,
  results,
  points,
}: Pick<RunRecord, 'findings' | 'results' | 'points'>): readonly Finding[] {
  const source = findings ?? results;
  const found =
    known.get(source) ?? (findings ? findings.filter(isKnownFinding) : findingsOfResults(results, points));
  known.set(source, found);
  return found;
}

/** What a later version concluded that this one does not know: to be shown by its names, and for nothing else. */
export const unknownFindingsOf = ({ findings }: Pick<RunRecord, 'findings'>): readonly StoredFinding[] =>
  (findings ?? []).filter((finding) => !isKnownFinding(finding));

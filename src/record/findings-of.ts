import type { Finding } from './finding.js';
import { findingsOfResults } from './findings-of-results.js';
import type { RunRecord } from './run-record.js';

const converted = new WeakMap<RunRecord['results'], readonly Finding[]>();

/** The findings of a run, also of one whose record still holds results of version 0.1. */
export function findingsOf({
  findings,
  results,
  points,
}: Pick<RunRecord, 'findings' | 'results' | 'points'>): readonly Finding[] {
  if (findings) return findings;
  const known = converted.get(results) ?? findingsOfResults(results, points);
  converted.set(results, known);
  return known;
}

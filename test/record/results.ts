import { findingsOfResults } from '../../src/record/findings-of-results.js';
import type { Result } from '../../src/record/old-results.js';
import { resultsInCodes } from '../../src/record/results-of-findings.js';
import type { RunRecord } from '../../src/record/run-record.js';

/** A run whose findings are those that results in the shapes of version 0.1 stand for. */
export const withResults = (record: RunRecord, results: readonly Result[]): RunRecord => ({
  ...record,
  findings: findingsOfResults(results, record.points),
});

/** What a run found, in the shapes of version 0.1. */
export const resultsIn = ({ findings }: Pick<RunRecord, 'findings'>): Result[] => resultsInCodes(findings);

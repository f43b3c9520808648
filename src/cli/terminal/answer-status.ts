import { answerIsNo } from '../../judgement/conclude/conclusions-of.js';
import { judgeRun } from '../../judgement/judged-run.js';
import type { RunRecord } from '../../record/run-record.js';

/** What a script may ask to be told by the exit status. */
export type FailOn = 'not-met';

/** Measured, and the answer is no. */
const ANSWER_IS_NO = 1;

/**
 * Exit status of a run's answer: 1 when `--fail-on not-met` was given and a claim is not met or a check failed, else 0.
 *
 * @param claim another claim, a line each, judged besides those of the run
 */
export const answerStatus = (
  record: RunRecord,
  failOn: FailOn | undefined,
  claim: string | null = null,
): number => (failOn === 'not-met' && answerIsNo(judgeRun(record, claim).conclusions) ? ANSWER_IS_NO : 0);

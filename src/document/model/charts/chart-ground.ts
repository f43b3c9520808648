import type { JudgedRun } from '../../../judgement/judged-run.js';
import type { Reading, RunRecord } from '../../../record/run-record.js';

/** What the charts of a run are drawn from. */
export interface ChartGround {
  readonly record: RunRecord;
  readonly judged: Pick<JudgedRun, 'claims'>;
  /** THD+N of the bench by itself where a reading was taken, percent; null: not stated. */
  readonly floorAt: (reading: Reading) => number | null;
}

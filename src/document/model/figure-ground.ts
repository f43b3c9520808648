import type { JudgedRun } from '../../judgement/judged-run.js';
import type { Reading, RunRecord } from '../../record/run-record.js';

/** THD+N of the bench by itself where a reading was taken, percent; null: not stated. */
export type FloorAt = (reading: Reading) => number | null;

/** What the charts of a run are drawn from. */
export interface FigureGround {
  readonly record: RunRecord;
  readonly judged: JudgedRun;
  readonly floorAt: FloorAt;
}

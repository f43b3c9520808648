import type { JudgedRun } from '../../../judgement/judged-run.js';
import type { Reading, RunRecord } from '../../../record/run-record.js';
import type { Axis } from '../block.js';

/** What the charts of a run are drawn from. */
export interface ChartGround {
  readonly record: RunRecord;
  readonly judged: Pick<JudgedRun, 'claims'>;
  /** THD+N of the bench by itself where a reading was taken, percent; null: not stated. */
  readonly floorAt: (reading: Reading) => number | null;
}

/** The axes that charts of runs are declared on. */
export const FREQUENCY: Axis = { name: 'Frequency, Hz', unit: 'Hz', scale: 'log', ends: 'close' };
export const POWER_ACROSS: Axis = { name: 'Power per channel, W', unit: 'W', scale: 'log', ends: 'close' };
export const POWER_UP: Axis = { name: 'Power per channel, W', unit: 'W', scale: 'linear', zooms: true };
export const THDN: Axis = { name: 'THD+N, %', unit: '%', scale: 'log' };
export const TIME: Axis = { name: 'Time', unit: 's', scale: 'linear', from: 0, ends: 'close' };

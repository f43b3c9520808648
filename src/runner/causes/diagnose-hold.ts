import { loadVoltsPerUnit } from '../../calibration/chain.js';
import { causeOf } from '../../measure/cause/cause-of.js';
import { evidenceOf } from '../../measure/cause/evidence.js';
import type { Aim } from '../capture/take-record.js';
import type { StepStage } from '../course/walk.js';
import { causeFinding } from '../findings/finding-of.js';
import type { HoldCourse } from '../held/hold-course.js';

/** A level that has fallen by less than this has held. */
const FALLEN_dB = 0.1;

/**
 * Says why a level did not last, from the last record of the hold and the course of the level since the first. Takes no capture of
 * its own: the unit is not to be held any longer.
 *
 * @param records the last of each measured channel
 */
export async function diagnoseHold(
  { walk, step }: StepStage,
  { tone, outputs_V }: Aim,
  courses: readonly HoldCourse[],
  records: readonly Float64Array[],
): Promise<void> {
  for (const [i, channel] of step.measured.entries()) {
    const course = courses[i]!;
    if (course.fall_dB < FALLEN_dB) continue;
    const failing = evidenceOf(records[i]!, tone, {
      voltsPerUnit: loadVoltsPerUnit(walk.chain(channel)),
      load_ohm: walk.load(channel, step.load_ohm).measured_ohm,
      drive: outputs_V[i]!,
    });
    const causes = causeOf({ failing, overTime: course.overTime });
    await walk.emit({ kind: 'finding', finding: causeFinding(step, { channel, ...tone }, causes) });
  }
}

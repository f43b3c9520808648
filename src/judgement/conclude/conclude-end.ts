import type { Cause } from '../../measure/cause/question.js';
import { endCauseOf } from '../../record/end-cause.js';
import type { Finding } from '../../record/finding.js';
import { findingsOf } from '../../record/findings-of.js';
import type { RunRecord } from '../../record/run-record.js';
import type { Conclusion, LastRead } from './conclusion.js';
import { type ConclusionGround, conclude, placeAt } from './conclusion-ground.js';

/** Why a run has ended before its last step: a unit that has shut down is named with what it gave until then. */
export function endedEarly(ground: ConclusionGround, record: RunRecord): Conclusion[] {
  const { outcome, reason, points } = record;
  if (outcome === 'completed') return [];
  const last = outcome === 'tripped' ? lastRead(record) : null;
  const finding = shutDownOf(record);
  const point = points.at(-1);
  const rests = last && point ? { points: [point.number], steps: [point.step] } : {};
  if (!finding) return [conclude('warning', { code: 'ended-early', outcome, reason, last }, rests)];
  const [{ evidence }] = finding.value as readonly [Cause, ...Cause[]];
  const { channel, load_ohm, driven } = finding.setting;
  const place = placeAt(ground, {
    ...{ load_ohm, driven, channel: channel! },
    nominal_Hz: finding.stimulus.nominal_Hz!,
  });
  return [conclude('warning', { code: 'shut-down', place, evidence, last }, rests)];
}

/** What has ended a run, where that was an output that was lost: the finding of its cause, the last of the run. */
export function shutDownOf(record: RunRecord): Finding | undefined {
  if (endCauseOf(record) !== 'output-lost') return undefined;
  return findingsOf(record).findLast(
    ({ quantity, value }) =>
      quantity === 'cause' && (value as readonly Cause[] | null)?.[0]?.cause === 'protection',
  );
}

/** The level and the time up to which a unit was read both tell how far its figures can be trusted. */
function lastRead({ points, readings, events }: RunRecord): LastRead | null {
  const point = points.at(-1);
  const powers = readings.filter((reading) => reading.point === point?.number).map(({ power_W }) => power_W);
  const ended = events.findLast(({ kind }) => kind === 'ended');
  return ended && point && powers.length > 0
    ? { power_W: Math.max(...powers), nominal_Hz: point.nominal_Hz, at_s: ended.at_s }
    : null;
}

import { type CalibrationRecord, overdueOn, type SurveyedBench } from './chain.js';

/** The parts of a bench that say which records it rests on. */
type RecordedBench = Pick<SurveyedBench, 'channels' | 'floorRecord'>;

/** Every calibration record that stands behind a bench's figures, once each, in the order of first use; the floor's last. */
export function usedRecords({ channels, floorRecord }: RecordedBench): CalibrationRecord[] {
  const all = [...channels.flatMap(({ records }) => records), ...(floorRecord ? [floorRecord] : [])];
  const first = new Map<string, CalibrationRecord>();
  for (const record of all) {
    const key = [record.id, record.kind, record.sha256].join('\n');
    if (!first.has(key)) first.set(key, record);
  }
  return [...first.values()];
}

/** Those of a bench's records that no longer hold on the day on which it was read. */
export function overdueRecords(bench: RecordedBench & { readonly day: string }): CalibrationRecord[] {
  return usedRecords(bench).filter((record) => overdueOn(record, bench.day));
}

import type { BenchSetup } from '../../bench/bench-setup.js';
import { overdueOn } from '../../calibration/chain.js';

/** Channels of which a record is overdue; all of them when the floor's is, since every reading is held against it. */
export function overdueChannels({ channels, floorRecord, day }: BenchSetup): Set<number> {
  const floorOverdue = floorRecord ? overdueOn(floorRecord, day) : false;
  const late = channels.filter(
    ({ records }) => floorOverdue || records.some((record) => overdueOn(record, day)),
  );
  return new Set(late.map(({ channel }) => channel));
}

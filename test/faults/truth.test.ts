import { expect, it } from 'vitest';
import { truth } from '../../scripts/faults/simulated-fault.js';
import { judge } from '../../scripts/faults/truth.js';
import type { Reading } from '../../src/record/run-record.js';

const patient = { timeout: 60_000 };
const loud = (reading: Reading) => ({ ...reading, power_W: 1.002 * reading.power_W });

it('a run is found right when held against itself', patient, async () => {
  const record = await truth();
  const { committed, kept, lost, flagged, wrong } = judge(record, record.readings, record);
  expect({ committed, kept, lost, flagged, wrong }).toEqual({
    committed: record.readings.length,
    kept: record.readings.length,
    lost: 0,
    flagged: 0,
    wrong: [],
  });
});

it('a power that is off by 0.009 dB is wrong, unless it carries a flag', patient, async () => {
  const record = await truth();
  const [first, ...rest] = record.readings;
  const off = { ...record, readings: [loud(first!), ...rest] };
  expect(judge(off, off.readings, record).wrong).toEqual(['point 1, channel 1: power off by 0.009 dB']);
  const flagged = { ...record, readings: [{ ...loud(first!), flags: ['gap-in-capture' as const] }, ...rest] };
  expect(judge(flagged, flagged.readings, record)).toMatchObject({ wrong: [], flagged: 1 });
});

it('a reading that was committed and is not there any more, or has changed, is lost', patient, async () => {
  const record = await truth();
  const [first, second, ...rest] = record.readings;
  expect(judge({ ...record, readings: [first!, ...rest] }, record.readings, record).lost).toBe(1);
  const changed = { ...record, readings: [first!, loud(second!), ...rest] };
  expect(judge(changed, record.readings, record).lost).toBe(1);
});

it('nothing is right that was read of a load that had come off', patient, async () => {
  const record = await truth();
  const { at_s } = record.points[3]!;
  const late = record.points.filter((point) => point.at_s >= at_s).length;
  expect(judge(record, record.readings, record, at_s).wrong).toHaveLength(late);
});

import { expect, test } from 'vitest';
import { curveGroups } from '../../../src/document/chart/curves.js';
import { invented } from '../fixture.js';

test('the curves of a climb run from low to high power although its points did not', () => {
  const record = invented();
  const [group, ...others] = curveGroups([record], 'climb');
  expect(others).toEqual([]);
  for (const { readings } of group!.curves) {
    const powers = readings.map((reading) => reading.power_W);
    expect(powers).toEqual(powers.toSorted((a, b) => a - b));
    expect(readings).toHaveLength(30);
  }
  expect(group!.curves.map((curve) => curve.label)).toEqual(['channel 1', 'channel 2']);
});

test('results go with the channel and the load they were found on', () => {
  const [group] = curveGroups([invented()], 'climb');
  expect(group!.curves[1]!.results.map(({ kind, channel }) => `${kind} ${channel}`)).toEqual([
    'power-at-thdn 2',
    'power-at-thdn 2',
    'knee 2',
  ]);
});

test('runs share a picture when step, load and driven channels agree, and only then', () => {
  const eight = invented();
  expect(curveGroups([eight, invented({ run: 13 })], 'climb')).toHaveLength(1);
  expect(curveGroups([eight, invented({ run: 13, load_ohm: 4 })], 'climb')).toHaveLength(2);
  expect(curveGroups([eight, invented({ run: 13, channels: 1 })], 'sweep')).toHaveLength(2);
});

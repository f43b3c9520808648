import { expect, it } from 'vitest';
import type { QuantityName } from '../../src/record/quantities.js';
import { standingFindings } from '../../src/record/standing-findings.js';
import { findingOf, SILENCE } from '../../src/runner/findings/finding-of.js';

const found = (quantity: QuantityName, value: number, step = 'q', channel = 1) =>
  findingOf(
    { id: step, kind: 'quiet', driven: [1, 2], load_ohm: 8, mains_V: null, cell: '' } as never,
    channel,
    { quantity, statistic: 'value', value, stimulus: SILENCE },
  );
const values = (...findings: ReturnType<typeof found>[]) =>
  standingFindings(findings).map(({ value }) => value);

it('the newest meter reading of a step and channel stands, larger or smaller', () => {
  expect(values(found('dc-by-meter', 0.15), found('dc-by-meter', 0.008))).toEqual([0.008]);
  expect(values(found('dc-by-meter', 0.008), found('dc-by-meter', 0.15))).toEqual([0.15]);
});

it.each(['dc', 'noise', 'hum'] as const)('of %s that was measured twice the worst stands', (quantity) => {
  expect(values(found(quantity, -0.3), found(quantity, 0.1))).toEqual([-0.3]);
  expect(values(found(quantity, 0.1), found(quantity, -0.3))).toEqual([-0.3]);
});

it('other steps, channels, quantities and tones are figures of their own', () => {
  const one = found('dc-by-meter', 1);
  const tone = { ...one, stimulus: { ...one.stimulus, lines_Hz: [1000] } };
  const all = [one, found('dc-by-meter', 2, 'w'), found('dc-by-meter', 3, 'q', 2), found('dc', 4), tone];
  expect(standingFindings(all)).toEqual(all);
});

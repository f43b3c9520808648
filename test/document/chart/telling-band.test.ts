import { expect, test } from 'vitest';
import { leftOutNotes, nameIfSeveral, tellingBand } from '../../../src/document/chart/telling-band.js';
import { headline } from '../../../src/document/model/headline.js';
import type { BandResult } from '../../../src/record/old-results.js';
import { invented } from '../fixture.js';

const record = invented();
const full = record.results.find((result): result is BandResult => result.kind === 'band')!;
/** A gentle sweep that any unit holds, listed before the one that says something. */
const gentle = {
  ...full,
  step: 'gentle',
  least_power_W: full.least_power_W / 1000,
  most_thdn_percent: 0.001,
};
const both = { ...record, results: [gentle, ...record.results] };

test('the sweep that asked for most stands for the unit, and is named where there are several', () => {
  const chosen = tellingBand(both);
  expect(new Set(chosen.map(({ step }) => step))).toEqual(new Set([full.step]));
  expect(nameIfSeveral(both, chosen)).toBe(full.step);
  expect(headline(both)).toContain(`in sweep ${full.step}, from`);
});

test('a single sweep needs no name, and none at all gives nothing', () => {
  expect(nameIfSeveral(record, tellingBand(record))).toBe('');
  expect(tellingBand({ ...record, results: [] })).toEqual([]);
});

test('what was left out is told in the words of the run', () => {
  const event = { at_s: 1, kind: 'note' as const, topic: 'sweep', text: 'band was left out on channel 2' };
  expect(leftOutNotes({ ...record, events: [event, { ...event, topic: 'gain' }] })).toEqual([event.text]);
});

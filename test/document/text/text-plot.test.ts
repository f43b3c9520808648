import { expect, test } from 'vitest';
import { curveGroups } from '../../../src/document/chart/curves.js';
import { ceilingGroups } from '../../../src/document/model/ceiling-groups.js';
import { ceilingPlot, claimMark, textPlot } from '../../../src/document/text/text-plot.js';
import { textSummary } from '../../../src/document/text/text-summary.js';
import { invented } from '../fixture.js';
import { inventedMatrix } from '../matrix-fixture.js';

test('ceilings are drawn over the band, each channel by its digit, with the claim as a row', () => {
  const [group] = ceilingGroups(inventedMatrix());
  const rows = ceilingPlot(group!, 80, 80).split('\n');
  expect(Math.max(...rows.map((row) => row.length))).toBeLessThanOrEqual(80);
  const claim = rows.findIndex((row) => row.startsWith('      80 W |:::'));
  // 60 W and 59 W at 20 Hz stand below the claim, 90 W and 89 W of the band above it.
  const columns = rows.map((row) => [...row.slice(12)].flatMap((ink, i) => (/[12*]/.test(ink) ? [i] : [])));
  expect(columns.slice(0, claim).flat()).not.toContain(1);
  expect(columns.slice(claim + 1, -2).flat()).toEqual(expect.arrayContaining([1]));
  expect(new Set(columns.slice(0, claim).flat()).size).toBeGreaterThan(8);
  expect(rows.at(-1)).toMatch(/20 Hz +100 Hz +1 kHz +10 kHz/);
});

test('the claim stands as a column in the climb, as far right as its watts', () => {
  const [group] = curveGroups([invented({ channels: 1 })], 'climb');
  const columns = textPlot(group!, 80, 1000)
    .split('\n')
    .slice(0, -2)
    .map((row) => row.indexOf(':'));
  expect(new Set(columns)).toEqual(new Set([78]));
  expect(textPlot(group!, 80)).not.toContain(':');
});

test('show names what the colons are, and only for a run with a claim', () => {
  const summary = (claim: string | null) =>
    textSummary({ ...inventedMatrix(), claim }, { width: 80, colour: false });
  expect(summary('80 W into 8 ohm at 0.1 % THD+N')).toContain(
    'Power against frequency; colons: 80 W claimed',
  );
  expect(summary(null)).not.toContain('colons');
  expect(summary('160 W total into 8 ohm at 0.1 % THD+N')).not.toContain('colons: 160');
  expect(claimMark(null)).toBe('');
});

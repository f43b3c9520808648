import { expect, test } from 'vitest';
import { curveGroups } from '../../../src/document/chart/curves.js';
import { textPlot } from '../../../src/document/text/text-plot.js';
import { textSummary } from '../../../src/document/text/text-summary.js';
import type { Budget } from '../../../src/measure/budget.js';
import { FLAGS } from '../../../src/measure/flags.js';
import { interruptedAtPoint3, invented, withoutReadings } from '../fixture.js';
import { HOSTILE } from '../hostile.js';

const plain = { width: 80, colour: false };
const squeezed = (text: string) => text.replace(/\s+/g, ' ');

test('each channel has its row: power at each threshold with uncertainty, knee, hardness', () => {
  expect(squeezed(textSummary(invented(), plain))).toContain(
    'channel at 0.1 % at 1 % knee hardness 1 88.9 W ± 0.73 W 94.5 W ± 0.78 W 76.4 W 0.268 dB 2 87.7 W ± 0.72 W',
  );
});

test('a knee has its uncertainty beside it, and a note the channels that it is about', () => {
  const record = invented();
  const wide: Budget = {
    quantity: 'power',
    value: 76.4,
    unit: 'W',
    components: [],
    missing: [],
    standard_percent: 14.04,
    freedom: 4,
    coverage_factor: 2.62,
    expanded_percent: 36.8,
    expanded: 28.1,
  };
  const results = record.results.map((result) => {
    if (result.kind === 'knee') return { ...result, uncertainty_W: 28.1, budgets: [wide] };
    const inVain =
      result.kind === 'power-at-thdn' && result.channel === 2 && result.threshold_percent === 0.1;
    return inVain
      ? { ...result, power_W: null, uncertainty_W: null, note: 'THD+N was never below 0.1 %' }
      : result;
  });
  const text = squeezed(textSummary({ ...record, results }, plain));
  expect(text).toContain('94.5 W ± 0.78 W 76.4 W ± 28 W 0.268 dB');
  expect(text).toMatch(/knee at \d+\.\d W ± 28 W;/);
  expect(text).toContain('channel 2: THD+N was never below 0.1 %');
  expect(text).toContain('Power: U with k = 2 to 2.62.');
});

test('no line is wider than the terminal, at 80 and at 60 columns', () => {
  for (const width of [60, 80]) {
    const lines = textSummary(invented({ label: HOSTILE.long }), { width, colour: false }).split('\n');
    expect(Math.max(...lines.map((line) => [...line].length))).toBeLessThanOrEqual(width);
  }
});

test('without colour there is no escape, with colour there is, and a label cannot bring one', () => {
  const record = invented({ label: HOSTILE.terminal, note: HOSTILE.terminal });
  expect(textSummary(record, plain)).not.toContain('\u001b');
  const coloured = textSummary(record, { width: 80, colour: true });
  expect(coloured).toContain('\u001b[1m');
  expect(coloured).not.toContain('\u001b[2J');
});

test('flags are told in the words of the list of flags', () => {
  expect(squeezed(textSummary(invented(), plain))).toContain(
    `power-not-reached: ${FLAGS['power-not-reached']}`,
  );
});

test('a run that did not reach its end says so in its second line', () => {
  const lines = textSummary(interruptedAtPoint3(), plain).split('\n');
  expect(lines[1]).toBe('Interrupted before its end: the operator pressed Ctrl-C');
  expect(textSummary(withoutReadings(), plain)).toContain('Nothing was measured.');
});

test('a missing uncertainty is said', () => {
  expect(textSummary(invented({ uncertainty: false }), plain)).toContain('Power: no uncertainty stated.');
});

test('the plot rises to the right end, dots the thresholds, and draws channels by their digit', () => {
  const [group] = curveGroups([invented({ channels: 1 })], 'climb');
  const rows = textPlot(group!, 80).split('\n');
  const column = (row: string) => row.lastIndexOf('1');
  expect(rows.every((row) => row.length <= 80)).toBe(true);
  // The axes end at round numbers, so the curve's end may stand a little below and left of the corner.
  expect(column(rows.find((row) => column(row) > 0)!)).toBeGreaterThan(60);
  expect(rows.filter((row) => row.includes('......'))).toHaveLength(2);
  expect(rows.filter((row) => /^ +0\.1 % \|/.test(row))).toHaveLength(1);
  expect(rows.at(-1)).toMatch(/100 mW.*1 W.*10 W/);
});

import { expect, test } from 'vitest';
import { runText } from '../../../src/document/text/run-text.js';
import type { Budget } from '../../../src/measure/budget.js';
import { FLAGS } from '../../../src/measure/flags.js';
import { resultsIn, withResults } from '../../record/results.js';
import { interruptedAtPoint3, invented, withoutReadings } from '../fixture.js';
import { HOSTILE } from '../hostile.js';

const plain = { width: 80, colour: false };
const squeezed = (text: string) => text.replace(/\s+/g, ' ');

test('each channel has its row: power at each limit with uncertainty, knee, plateau, interval', () => {
  expect(squeezed(runText(invented(), plain))).toContain(
    '1 88.9 W ± 0.7 W 94.5 W ± 0.8 W 76.4 W 0.0035 %, 0.27 dB harmonics 2 87.7 W ± 0.7 W',
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
  const results = resultsIn(record).map((result) => {
    if (result.kind === 'knee') return { ...result, uncertainty_W: 28.1, budgets: [wide] };
    const inVain =
      result.kind === 'power-at-thdn' && result.channel === 2 && result.threshold_percent === 0.1;
    return inVain
      ? { ...result, power_W: null, uncertainty_W: null, note: 'THD+N was never below 0.1 %' }
      : result;
  });
  const text = squeezed(runText(withResults(record, results), plain));
  expect(text).toContain('76 W ±');
  expect(text).toMatch(/knee at \d+(\.\d)? W ± 28 W/);
  expect(text).toContain('Channel 2: THD+N was never below 0.1 %');
  expect(text).toContain('Powers: U with k = 2 to 2.62.');
});

test('no line is wider than the terminal, at 80 and at 60 columns', () => {
  for (const width of [60, 80]) {
    const lines = runText(invented({ label: HOSTILE.long }), { width, colour: false }).split('\n');
    expect(Math.max(...lines.map((line) => [...line].length))).toBeLessThanOrEqual(width);
  }
});

test('without colour there is no escape, with colour there is, and a label cannot bring one', () => {
  const record = invented({ label: HOSTILE.terminal, note: HOSTILE.terminal });
  expect(runText(record, plain)).not.toContain('\u001b');
  const coloured = runText(record, { width: 80, colour: true });
  expect(coloured).toContain('\u001b[1m');
  expect(coloured).not.toContain('\u001b[2J');
});

test('flags are told in the words of the list of flags', () => {
  const said = squeezed(runText(invented(), { ...plain, width: 120 }));
  for (const word of FLAGS['power-not-reached'].split(' ').slice(1)) expect(said).toContain(word);
  expect(said).toContain('band: 20 Hz to 40 Hz, channels 1 and 2');
});

test('a run that did not reach its end says so in its second line', () => {
  const lines = runText(interruptedAtPoint3(), plain).split('\n');
  expect(lines[1]).toBe('Interrupted before its end: the operator pressed Ctrl-C.');
  expect(runText(withoutReadings(), plain)).toContain('Nothing was measured.');
});

test('a missing uncertainty is said', () => {
  expect(runText(invented({ uncertainty: false }), plain)).toContain('Powers: no uncertainty stated.');
});

test('a climb is drawn in characters with its limits, claims as colons named in the title, and spectra are not', () => {
  const record = { ...invented({ channels: 1 }), claim: '80 W into 8 ohm at 0.1 % THD+N' };
  const lines = runText(record, plain).split('\n');
  const title = lines.findIndex((line) => line.startsWith('1 kHz, 8 ohm, channel 1 driven; colons'));
  expect(lines[title]).toContain('colons: claim 80 W');
  const rows = lines.slice(title + 1, title + 20);
  expect(rows.filter((row) => row.includes('......'))).toHaveLength(2);
  expect(rows.filter((row) => /^ +0\.1 % \|/.test(row))).toHaveLength(1);
  expect(runText({ ...record, claim: null }, plain)).not.toContain('colons');
  expect(lines.filter((line) => line.startsWith('Spectrum'))).toEqual([]);
});

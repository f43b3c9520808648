import { describe, expect, it } from 'vitest';
import { checkItems, checkState } from '../../../src/judgement/check/check.js';
import { checkWords } from '../../../src/judgement/check/check-words.js';
import type { Finding } from '../../../src/record/finding.js';
import type { RunRecord } from '../../../src/record/run-record.js';
import { findingOf, SILENCE } from '../../../src/runner/findings/finding-of.js';
import { invented } from '../../document/fixture.js';

const TWICE = `steps:
  - quiet: {id: cold, for: 10 s, dc_meter: yes}
  - sweep: {level: 1 W}
  - quiet: {for: 10 s, dc_meter: yes}
`;
const [COLD, WARM] = ['cold', 'quiet-3'];

const found = (quantity: 'dc' | 'dc-by-meter', step: string, value: number, channel = 1): Finding =>
  findingOf(
    { id: step, kind: 'quiet', driven: [1, 2], load_ohm: 8, mains_V: null, cell: '' } as never,
    channel,
    { quantity, statistic: 'value', value, stimulus: SILENCE },
  );
const meter = (step: string, value: number, channel = 1) => found('dc-by-meter', step, value, channel);
const input = (step: string, value = 0, channel = 1) => found('dc', step, value, channel);

interface Told {
  readonly text?: string;
  readonly outcome?: RunRecord['outcome'];
  readonly dc_coupled?: boolean;
}

/** The check of DC, at most 100 mV, on what was found, in words. */
function checked(
  findings: readonly Finding[],
  { text = TWICE, outcome = 'completed', dc_coupled = false }: Told = {},
) {
  const base = invented();
  const sequence = { ...base.sequence, text };
  const record = { ...base, points: [], readings: [], findings, outcome, sequence };
  const items = checkItems(record, { dc: 0.1 as never }, { dc_coupled });
  return checkWords(checkState(items), items);
}

describe('DC by meter', () => {
  it('passes with a reading below the limit in every step that asks for one', () => {
    expect(checked([meter(COLD, 0.008), meter(WARM, -0.009)])).toBe('Passed: DC at the output.');
  });

  it('does not pass without the warm reading, be it left empty or never reached', () => {
    const words =
      'Not tested: channel 1, DC at the output 8.00 mV by meter reading; reading 2 of 2 is missing (at most 100 mV).';
    expect(checked([meter(COLD, 0.008), input(COLD), input(WARM)])).toBe(words);
    expect(checked([meter(COLD, 0.008), input(COLD)], { outcome: 'stopped' })).toBe(words);
  });

  it('names the channels whose readings are missing, beside those that pass', () => {
    const both = [meter(COLD, 0.008), meter(WARM, 0.008)];
    const second = [meter(WARM, 0.008, 2), input(COLD, 0, 2)];
    expect(checked([...both, ...second])).toBe(
      'Passed: DC at the output. Not tested: DC at the output (channel 2: reading 1 of 2 is missing).',
    );
  });

  it('fails by one reading, whatever is missing', () => {
    expect(checked([meter(COLD, 0.15)], { outcome: 'stopped' })).toBe(
      'Failed: channel 1, DC at the output 150.0 mV by meter reading (at most 100 mV).',
    );
  });

  it('goes by the newest reading of a step that was played again', () => {
    const warm = meter(WARM, 0.008);
    expect(checked([meter(COLD, 0.008), meter(COLD, 0.15), warm])).toMatch(/^Failed: .* 150\.0 mV/);
    expect(checked([meter(COLD, 0.15), meter(COLD, 0.008), warm])).toBe('Passed: DC at the output.');
  });

  it('is due in every setting of a repeat, and for a channel only where it was listened to', () => {
    const text = 'steps:\n  - repeat: {loads: [8 ohm, 4 ohm], steps: [{quiet: {for: 1 s, dc_meter: yes}}]}\n';
    const first = [meter('quiet-1.1/8ohm', 0.01)];
    expect(checked([...first, input('quiet-1.1/4ohm')], { text })).toMatch(/reading 2 of 2 is missing/);
    expect(checked(first, { text, outcome: 'interrupted' })).toMatch(/reading 2 of 2 is missing/);
    const passes = [meter('cold/taps-1', 0.01), meter('cold/taps-2', 0.01, 2)];
    expect(checked(passes, { text: TWICE.split('  - sweep')[0]! })).toBe('Passed: DC at the output.');
  });
});

describe('DC by inputs that pass it', () => {
  const dc_coupled = true;

  it('passes when it was read in every quiet step, and stands in for a meter', () => {
    expect(checked([input(COLD), input(WARM)], { dc_coupled })).toBe('Passed: DC at the output.');
    expect(checked([meter(COLD, 0.008), input(WARM)], { dc_coupled })).toBe('Passed: DC at the output.');
  });

  it('does not pass on the cold reading alone', () => {
    expect(checked([input(COLD)], { dc_coupled, outcome: 'stopped' })).toMatch(
      /^Not tested: .*reading 2 of 2 is missing/,
    );
  });
});

import { describe, expect, it } from 'vitest';
import type { Finding } from '../../../src/record/finding.js';
import {
  type KnownPower,
  KnownPowers,
  moreVoltsBefore,
  moreWithFewer,
} from '../../../src/runner/memory/known-powers.js';
import { foundIn } from '../found.js';
import { play } from '../run.js';
import { twinBench } from '../twin-bench.js';

const power = (change: Partial<KnownPower> = {}): KnownPower => ({
  step: 'up',
  kind: 'climb',
  channel: 1,
  driven: [1, 2],
  load_ohm: 8,
  frequency_Hz: 1000,
  mains_V: null,
  threshold_percent: 1,
  power_W: 80,
  ...change,
});

describe('moreWithFewer', () => {
  it('finds the power with fewer channels driven that this one falls short of by half a decibel', () => {
    const alone = power({ driven: [1], power_W: 100 });
    expect(moreWithFewer(power(), [alone])).toBe(alone);
    // 80 W against 89 W are 0.46 dB, against 90 W 0.51 dB.
    expect(moreWithFewer(power(), [power({ driven: [1], power_W: 89 })])).toBeNull();
    expect(moreWithFewer(power(), [power({ driven: [1], power_W: 90 })])).not.toBeNull();
  });

  it.each([
    ['another channel', { channel: 2 }],
    ['another load', { load_ohm: 4 }],
    ['another frequency', { frequency_Hz: 20 }],
    ['another mains voltage', { mains_V: 207 }],
    ['another threshold', { threshold_percent: 0.1 }],
    ['a ceiling', { kind: 'max-power' }],
    ['a channel that is now silent', { driven: [3] }],
  ] as const)('does not compare with %s', (_, change) => {
    expect(moreWithFewer(power(), [power({ driven: [1], power_W: 100, ...change })])).toBeNull();
  });
});

describe('moreVoltsBefore', () => {
  const loadOf = (nominal_ohm: number) => ({ measured_ohm: nominal_ohm });

  it('holds the volts into the lower load against those into the higher one', () => {
    const into8 = power({ power_W: 100 });
    // 100 W into 8 ohm are 28.3 V, which would give 200 W into 4 ohm; half a decibel less is 178 W.
    expect(moreVoltsBefore(power({ load_ohm: 4, power_W: 177 }), [into8], loadOf)).toBe(into8);
    expect(moreVoltsBefore(power({ load_ohm: 4, power_W: 180 }), [into8], loadOf)).toBeNull();
    expect(
      moreVoltsBefore(power({ power_W: 80 }), [power({ load_ohm: 4, power_W: 400 })], loadOf),
    ).toBeNull();
  });
});

describe('FoundPowers', () => {
  it('takes up what climbs have found, with the mains of their step, and nothing that is no power found', () => {
    const found = new KnownPowers();
    const finding = (change: Partial<Finding> = {}, channel = 1): Finding => ({
      ...{ quantity: 'max-power', statistic: 'at-threshold', value: 80, bound: 'found', why: null },
      ...{ uncertainty: null, budgets: [], points: [], flags: [], remarks: [] },
      setting: {
        ...{ step: 'up', step_kind: 'climb', channel, driven: [1, 2] },
        ...{ load_ohm: 8, mains_V: 207, cell: '' },
      },
      stimulus: { lines_Hz: [1000], nominal_Hz: 1000, envelope: { kind: 'steady' } },
      terms: { threshold_percent: 1 },
      ...change,
    });
    found.see(finding());
    found.see(finding({ value: null }, 2));
    found.see(finding({ bound: 'at-least' }, 2));
    found.see(finding({ quantity: 'knee-power' }, 2));
    found.see(finding({ terms: { threshold_percent: 1, over_Hz: [20, 20_000] } }, 2));
    expect(found.all).toEqual([power({ mains_V: 207 })]);
    expect(found.of('up', 1, 1)).toBe(80);
    expect(found.of('up', 2, 1)).toBeNull();
    expect(found.of('up', 1, 0.1)).toBeNull();
  });
});

describe('a channel that gives less when all are driven', () => {
  it('is told to share a supply that sags, beside both powers', async () => {
    const { setup, bench } = twinBench('seven-shared');
    const text = `
name: One and all
load: 8 ohm
steps:
  - repeat: {driven: [one, all], steps: [{climb: {id: up, frequency: 1 kHz, from: 20 W, marks: [1 %]}}]}
`;
    const played = await play(text, setup, bench);
    const causes = foundIn(played, 'cause');
    expect(causes).toHaveLength(1);
    expect(causes[0]).toMatchObject({ step: 'up/all', channel: 1, load_ohm: 8 });
    expect(causes[0]!.causes[0]!.cause).toBe('supply-sag');
    expect(causes[0]!.causes[0]!.evidence.at(-1)).toMatch(
      /^\d+\.\d W with channels 1 to 7 driven against \d+(\.\d+)? W with channel 1: what the others draw/,
    );
  }, 120_000);
});

import { describe, expect, it } from 'vitest';
import type { HoldStep } from '../../src/steps/hold/plan.js';
import { bench, chain, load } from './bench-fixture.js';
import { bench84, claimed, faultsOf, into8, planOf } from './plan-fixture.js';

const text = (ohms: number) =>
  `name: t\nload: ${ohms} ohm\nsteps:\n  - hold: {id: h, frequency: 1 kHz, level: claim, for: 1 min}\n  - hold: {frequency: 2 kHz, level: 1/8 of claim, for: 1 min}\n`;
const held = (ohms: number, options = claimed(60, 8)) => {
  const { steps, warnings = [] } = planOf(text(ohms), bench84([1, 2]), options);
  return { powers: steps.map((step) => (step as HoldStep).most_W), warnings };
};

describe('a level taken from a claim', () => {
  it('is the claim itself into its own load, without a word', () => {
    expect(held(8)).toEqual({ powers: [60, 7.5], warnings: [] });
  });

  it('is at the same voltage into another load (P R / R: 60 W x 8 / 4 = 120 W), said once', () => {
    const { powers, warnings } = held(4);
    expect(powers).toEqual([120, 15]);
    expect(warnings).toEqual([
      'the claim is for 8 ohm: into 4 ohm its level is taken at the same voltage, 120 W, an upper bound; the claim does not state it',
    ]);
  });

  it('is never above what the bench is rated for when it is restated', () => {
    const { powers, warnings } = held(4, claimed(200, 8));
    const rating_W = load(4).rating_W;
    expect(rating_W).toBeLessThan(400);
    expect(powers).toEqual([rating_W, rating_W / 8]);
    expect(warnings[0]).toContain('lowered to the');
  });

  it('is the claim for that load, where several are given', () => {
    const claims = [60, 90].map((power_W, i) => ({ power_W, load_ohm: [8, 4][i]!, note: '' }));
    expect(held(4, { claims })).toEqual({ powers: [90, 11.25], warnings: [] });
  });

  it('is the same into every load when the claim states none', () => {
    expect(held(4, claimed(60))).toEqual({ powers: [60, 7.5], warnings: [] });
  });

  it('warns of what was assumed to get at it', () => {
    const claims = [{ power_W: 50, load_ohm: 8, note: 'equal shares' }];
    expect(held(8, { claims }).warnings).toEqual(['levels are taken from the claim as 50 W: equal shares']);
  });

  it('is refused, once, when there is no claim, or none that tells watts per channel', () => {
    const none = faultsOf(text(8));
    expect(none).toHaveLength(1);
    expect(none[0]).toContain('this sequence needs a claim; give it with --claim "100 W"');
    const claims = [{ power_W: null, load_ohm: 8, note: 'nobody says of how many channels' }];
    const vague = faultsOf(text(8), bench(2), { claims });
    expect(vague).toHaveLength(1);
    expect(vague[0]).toContain('no level can be taken from the claim: nobody says of how many channels');
  });

  it('of its own load is not lowered but refused when the bench cannot take it', () => {
    const weak = bench(1, { channels: [chain(1, { loads: [load(8)] })] });
    const step = 'hold: {frequency: 1 kHz, level: claim, for: 1 min}';
    expect(faultsOf(into8(step), weak, claimed(90_000, 8))[0]).toContain('is more than the bench can take');
  });
});

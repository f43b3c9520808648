import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type Claim, NO_TERMS } from '../../../src/judgement/claim/claim.js';
import { parseClaim } from '../../../src/judgement/claim/claim-text.js';
import { restateClaim } from '../../../src/judgement/restate/restate-claim.js';
import { kindOfAll } from '../../../src/judgement/restate/restating-step.js';

const watts = fc.double({ min: 0.1, max: 5000, noNaN: true });
const load = fc.constantFrom(2, 4, 6, 8, 16);
const percent = fc.constantFrom(0.1, 0.3, 0.9, 1, 5, 10);

function claimOf(power_W: number, load_ohm: number, distortion_percent: number): Claim {
  return { ...NO_TERMS, power_W, load_ohm, distortion_percent };
}

describe('restateClaim', () => {
  it('into another load and distortion, and back again, returns the claim', () => {
    fc.assert(
      fc.property(watts, load, load, percent, percent, (power_W, from, to, before, after) => {
        const claim = claimOf(power_W, from, before);
        const there = restateClaim(claim, { load_ohm: to, distortion_percent: after }).at(-1)?.claim ?? claim;
        const back =
          restateClaim(there, { load_ohm: from, distortion_percent: before }).at(-1)?.claim ?? there;
        expect(back.power_W / power_W).toBeCloseTo(1, 9);
        expect({ ...back, power_W }).toEqual(claim);
      }),
      { seed: 11, numRuns: 500 },
    );
  });

  it('by a measured curve, there and back returns the claim as well', () => {
    const curve = [
      { threshold_percent: 0.1, power_W: 88 },
      { threshold_percent: 1, power_W: 97 },
      { threshold_percent: 10, power_W: 121 },
    ];
    fc.assert(
      fc.property(watts, percent, percent, (power_W, before, after) => {
        const there = restateClaim(claimOf(power_W, 8, before), { distortion_percent: after }, curve);
        const claim = there.at(-1)?.claim ?? claimOf(power_W, 8, before);
        const back = restateClaim(claim, { distortion_percent: before }, curve).at(-1)?.claim ?? claim;
        expect(back.power_W / power_W).toBeCloseTo(1, 12);
        for (const step of there) expect(step.kind).toBe('exact');
      }),
      { seed: 13 },
    );
  });

  it('takes the ratio of the crossings themselves', () => {
    const curve = [
      { threshold_percent: 1, power_W: 97 },
      { threshold_percent: 0.1, power_W: 88 },
    ];
    const [step] = restateClaim(parseClaim('100 W, 8 ohm, 1 %'), { distortion_percent: 0.1 }, curve);
    expect(step!.power_W).toBeCloseTo((100 * 88) / 97, 12);
  });

  it('a power always lies within its range, and the range on its own side of the claim', () => {
    fc.assert(
      fc.property(watts, percent, percent, (power_W, before, after) => {
        for (const step of restateClaim(claimOf(power_W, 8, before), { distortion_percent: after })) {
          const [least, most] = step.range_W!;
          expect(least).toBeLessThanOrEqual(step.power_W! * (1 + 1e-12));
          expect(most).toBeGreaterThanOrEqual(step.power_W! * (1 - 1e-12));
          expect(after > before ? least > power_W : most < power_W).toBe(true);
        }
      }),
      { seed: 17 },
    );
  });

  it('gives no steps to a claim that stands on the terms already', () => {
    expect(restateClaim(parseClaim('100 W, 8 ohm, 1 %'), { load_ohm: 8, distortion_percent: 1 })).toEqual([]);
  });

  it('ends at what cannot be computed', () => {
    const steps = restateClaim(parseClaim('200 W, 6 ohm, 1 channel'), { load_ohm: 8, driven: 'all' });
    expect(steps.map(({ kind }) => kind)).toEqual(['lower-bound', 'not-computed']);
    expect(steps.at(-1)!.claim).toBeNull();
    expect(kindOfAll(steps)).toBe('not-computed');
  });

  it('keeps the figure for fewer channels and a part of the band, as a lower bound', () => {
    const claim = parseClaim('100 W, 8 ohm, all channels, 20 Hz to 20 kHz');
    const steps = restateClaim(claim, { driven: 1, frequency_Hz: [1000, 1000] });
    expect(steps.map(({ kind, power_W }) => [kind, power_W])).toEqual([
      ['lower-bound', 100],
      ['lower-bound', 100],
    ]);
  });

  it('an upper and a lower bound after each other are neither', () => {
    const claim = parseClaim('200 W peak, 4 ohm');
    const steps = restateClaim(claim, { kind: 'continuous', load_ohm: 8 });
    expect(steps.map(({ kind }) => kind)).toEqual(['upper-bound', 'lower-bound']);
    expect(steps.map(({ so_far }) => so_far)).toEqual(['upper-bound', 'neither']);
    expect(kindOfAll(steps)).toBe('neither');
  });

  /** Source: Ohm's law: half of the voltage at the whole current is half of the power into half of the load. */
  it('puts a bridged power on one channel only by halving it, and its load', () => {
    const [step] = restateClaim(parseClaim('400 W bridged, 8 ohm'), { per: 'channel' });
    expect(step).toMatchObject({
      kind: 'exact',
      power_W: 200,
      claim: { load_ohm: 4, bridged: null, per: 'channel' },
    });
    // 400 W into 8 ohm: root of 3200 = 56.57 V, 7.071 A; 28.28 V at 7.071 A = 200 W, 28.28 V / 7.071 A = 4 ohm.
    const steps = restateClaim(parseClaim('400 W bridged, 8 ohm'), { per: 'channel', load_ohm: 8 });
    expect(steps.map(({ power_W, so_far }) => [power_W, so_far])).toEqual([
      [200, 'exact'],
      [100, 'lower-bound'],
    ]);
  });

  it('makes no continuous power of PMPO', () => {
    const [step] = restateClaim(parseClaim('1,000 W PMPO'), { kind: 'continuous' });
    expect(step).toMatchObject({ kind: 'not-computed', power_W: null });
  });
});

import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { MaxPowerLimits } from '../../../src/runner/search/channel-search.js';
import { byLevel, type LevelSample, lastBracket } from '../../../src/runner/search/crossing-bracket.js';
import { crossingLevel, curveAround, type Expected } from '../../../src/runner/search/expected-crossing.js';
import { maxPowerEnd, nextMaxPowerMove } from '../../../src/runner/search/max-power-search.js';
import { clipper, clipperCrossing_dBW, type SearchUnit, softUnit } from '../search-units.js';

const limits: MaxPowerLimits = { from_dBW: -6, most_dBW: 23, threshold_percent: 0.1, near: null };

function search(units: readonly SearchUnit[], asked: MaxPowerLimits): LevelSample[] {
  const samples: LevelSample[] = [];
  for (;;) {
    const move = nextMaxPowerMove(samples, asked);
    if (move.kind === 'done') return samples;
    expect(move.asked_dBW).toBeLessThanOrEqual(asked.most_dBW);
    expect(move.asked_dBW).toBeGreaterThanOrEqual(asked.from_dBW);
    const readings = units.map((unit, i) => ({ channel: i + 1, ...unit(move.asked_dBW) }));
    samples.push({ asked_dBW: move.asked_dBW, readings });
  }
}

/** What units that were searched before let one expect of others. */
function knownFrom(units: readonly SearchUnit[]): Expected[] {
  const samples = search(units, limits);
  return units.map((_, i) => {
    const linear_dBW = crossingLevel(samples, i, 0.1)!;
    return { linear_dBW, drift_dB: 0, curve: curveAround(samples, i, 0.1, []) };
  });
}

function near(units: readonly SearchUnit[]): MaxPowerLimits {
  const expected = knownFrom(units);
  const first_dBW = Math.min(...expected.map((one) => (one as { linear_dBW: number }).linear_dBW)) - 1;
  return { ...limits, near: { first_dBW, expected } };
}

const widthOf = (samples: readonly LevelSample[], index = 0) =>
  lastBracket(byLevel(samples), index, 0.1)?.width_dB;
const highest = (samples: readonly LevelSample[]) => Math.max(...samples.map(({ asked_dBW }) => asked_dBW));

describe('nextMaxPowerMove beside a known neighbour', () => {
  it('takes three captures where the neighbour had the same ceiling', () => {
    const samples = search([clipper(15)], near([clipper(15)]));
    expect(samples.length).toBe(3);
    expect(widthOf(samples)).toBeLessThanOrEqual(0.05);
    expect(crossingLevel(samples, 0, 0.1)).toBeCloseTo(clipperCrossing_dBW(15, 0.1), 2);
  });

  it('looks first at least 1 dB below the neighbour, whose gain may be another', () => {
    const [first] = search([clipper(15)], near([clipper(15)]));
    expect(first!.asked_dBW).toBeLessThanOrEqual(clipperCrossing_dBW(15, 0.1) - 0.99);
  });

  it('takes at most nine captures where the ceiling jumped by up to half a decibel, and less than six as a rule', () => {
    const counts: number[] = [];
    for (let moved_dB = -0.5; moved_dB <= 0.5; moved_dB += 0.01) {
      const samples = search([clipper(15 + moved_dB)], near([clipper(15)]));
      expect(widthOf(samples)).toBeLessThanOrEqual(0.05);
      expect(crossingLevel(samples, 0, 0.1)).toBeCloseTo(clipperCrossing_dBW(15 + moved_dB, 0.1), 2);
      counts.push(samples.length);
    }
    expect(Math.max(...counts)).toBeLessThanOrEqual(9);
    expect(counts.reduce((sum, count) => sum + count, 0) / counts.length).toBeLessThan(6);
  });

  it('finds the crossing of hard and soft units wherever they have moved to, in few captures', () => {
    const unit = fc.tuple(fc.boolean(), fc.double({ min: -3, max: 3, noNaN: true }));
    fc.assert(
      fc.property(unit, fc.double({ min: 1e-9, max: 0.03, noNaN: true }), ([soft, moved_dB], noise) => {
        const one = soft ? softUnit : (dBW: number) => clipper(dBW, noise);
        const samples = search([one(15 + moved_dB)], near([one(15)]));
        expect(widthOf(samples)).toBeLessThanOrEqual(0.05);
        expect(samples.length).toBeLessThanOrEqual(16);
      }),
    );
  });

  it('goes no further above the ceiling than one widening step', () => {
    for (let moved_dB = -3; moved_dB <= 3; moved_dB += 0.05) {
      const samples = search([clipper(15 + moved_dB)], near([clipper(15)]));
      const from_dBW = Math.max(clipperCrossing_dBW(15 + moved_dB, 0.1), samples[0]!.asked_dBW);
      expect(highest(samples)).toBeLessThanOrEqual(from_dBW + 1.5);
    }
  });

  it('gives every channel of a common level its own crossing, in few more captures than there are channels', () => {
    const spread = [15, 15.3, 14.9, 15.05, 15.6, 15.02, 15.31, 14.7].map((dBW) => clipper(dBW));
    const samples = search(spread, near(spread));
    for (const i of spread.keys()) expect(widthOf(samples, i)).toBeLessThanOrEqual(0.05);
    expect(samples.length).toBeLessThanOrEqual(spread.length + 6);
  });

  it('does not take noise above the threshold at low level for a ceiling', () => {
    const noisy = clipper(15, 0.05);
    expect(noisy(5).thdn_percent).toBeGreaterThan(0.1);
    const expected: Expected[] = [{ linear_dBW: 6, drift_dB: 0, curve: [] }];
    const samples = search([noisy], { ...limits, near: { first_dBW: 5, expected } });
    expect(crossingLevel(samples, 0, 0.1)).toBeCloseTo(15.02, 1);
  });

  it('goes on to the most allowed, and no higher, where nothing is crossed', () => {
    const samples = search([clipper(30)], near([clipper(20)]));
    expect(highest(samples)).toBe(23);
    expect(maxPowerEnd(samples, 0, limits)).toBe('level-limit');
  });

  it('stops once the output no longer follows the drive, though its harmonics are out of sight', () => {
    const unseen: SearchUnit = (dBW) => ({ ...clipper(15)(dBW), thdn_percent: 0.001 });
    const samples = search([unseen], near([clipper(15)]));
    expect(highest(samples)).toBeLessThan(15 + 1 / 0.55 + 1.6);
    expect(maxPowerEnd(samples, 0, limits)).toBe('output-stopped-following');
  });

  it('leaves a channel without a crossing for the sake of one that is far into clipping', () => {
    const samples = search([clipper(8), clipper(20)], near([clipper(8), clipper(20)]));
    expect(highest(samples)).toBeLessThan(8 + 3 + 1.5);
    expect(widthOf(samples, 0)).toBeLessThanOrEqual(0.05);
    expect(maxPowerEnd(samples, 1, limits)).toBe('far-over');
  });

  it('spends no capture on a channel that came nowhere near the threshold at the neighbour either', () => {
    const dirty: SearchUnit = (dBW) => ({ power_W: 10 ** (dBW / 10), thdn_percent: 0.5 - 0.01 * dBW });
    const known = knownFrom([clipper(15)]);
    const expected = [...known, { nearest_dBW: 15 }];
    const asked = { ...limits, near: { first_dBW: 14.02, expected } };
    const samples = search([clipper(15), dirty], asked);
    expect(samples.length).toBe(3);
    expect(maxPowerEnd(samples, 1, limits)).toBe('never-below');
  });
});

describe('nextMaxPowerMove without a neighbour', () => {
  it('rises from below as a climb does, and brackets the crossing', () => {
    const samples = search([clipper(15)], limits);
    expect(samples[0]!.asked_dBW).toBe(-6);
    expect(widthOf(samples)).toBeLessThanOrEqual(0.05);
    expect(highest(samples)).toBeLessThanOrEqual(16.5 + 0.3);
  });

  it('says that a unit was never below the threshold', () => {
    const samples = search([(dBW) => ({ power_W: 10 ** (dBW / 10), thdn_percent: 2 })], limits);
    expect(maxPowerEnd(samples, 0, limits)).toBe('never-below');
  });
});

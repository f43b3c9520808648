import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { claimOf } from '../../../scripts/verdicts/campaign.js';
import { Dice } from '../../../scripts/verdicts/dice.js';
import { type InventedRun, inventRun } from '../../../scripts/verdicts/invented-run.js';
import { SHAPES } from '../../../scripts/verdicts/invented-unit.js';
import { conclusionsOf } from '../../../src/judgement/conclude/conclusions-of.js';
import { ratings } from '../../../src/judgement/rating/ratings.js';
import { verdict } from '../../../src/judgement/verdict/verdict.js';
import type { Reading } from '../../../src/record/run-record.js';

const shape = fc.constantFrom(...SHAPES);
const seed = fc.integer({ min: 1, max: 2 ** 31 - 1 });
const limit = fc.constantFrom(0.1, 1);
const missing = fc.boolean();

const conclusions = ({ record }: InventedRun) =>
  conclusionsOf(record, { claims: [], unreadable: null }, ratings(record));

/** Exceeds a limit whatever the uncertainty, written once more on its own. */
const isAbove = ({ thdn_percent, thdn_uncertainty_percent }: Reading, limit_percent: number) =>
  thdn_percent - (thdn_uncertainty_percent ?? 0) > limit_percent;
const isBelow = ({ thdn_percent, thdn_uncertainty_percent }: Reading, limit_percent: number) =>
  thdn_percent + (thdn_uncertainty_percent ?? 0) <= limit_percent;

describe('invented curves of every shape, with errors of the bench and missing points', () => {
  test('no conclusion of a run is contradicted by a reading of it', { timeout: 120_000 }, () => {
    fc.assert(
      fc.property(seed, shape, limit, missing, (at, of, limit_percent, some) => {
        const run = inventRun(new Dice(at), { shape: of, limit_percent, band: false, missing: some });
        for (const one of conclusions(run)) {
          expect(one.code).not.toBe('contradicted');
          if (one.code !== 'power-at') continue;
          for (const { limit_percent: told, power } of one.powers) {
            const most_W = power.power_W + (power.uncertainty_W ?? 0);
            const over = run.record.readings.filter(
              (reading) => isBelow(reading, told) && reading.power_W - (reading.uncertainty_W ?? 0) > most_W,
            );
            expect(power.bound === 'at-least' ? [] : over).toEqual([]);
          }
        }
      }),
      { numRuns: 1200, seed: 21 },
    );
  });

  test('no rating over the band spans a reading that exceeds its limit', { timeout: 120_000 }, () => {
    fc.assert(
      fc.property(seed, shape, limit, missing, (at, of, limit_percent, some) => {
        const run = inventRun(new Dice(at), { shape: of, limit_percent, band: true, missing: some });
        for (const { limit_percent: told, band, conservative_W } of ratings(run.record).settings[0]
          ?.ratings ?? []) {
          if (band === null) continue;
          const sure_W = Math.max(band.power_W - (band.uncertainty_W ?? 0), conservative_W ?? 0);
          const under = run.record.readings.filter(
            (reading) =>
              isAbove(reading, told) &&
              reading.power_W >= 0.25 &&
              reading.power_W * (1 + reading.uncertainty_W! / reading.power_W) < sure_W,
          );
          expect(band.bound === 'at-most' ? [] : under).toEqual([]);
        }
      }),
      { numRuns: 200, seed: 22 },
    );
  });
});

/** A bench without error, whose crossings are known to its bracket of 0.05 dB. */
const BRACKET = 0.012;

test('by a bench without error nothing is met that is above the truth, nor missed that is below', {
  timeout: 120_000,
}, () => {
  fc.assert(
    fc.property(
      seed,
      shape,
      limit,
      missing,
      fc.double({ min: 0.5, max: 1.5, noNaN: true }),
      (at, of, limit_percent, some, factor) => {
        const run = inventRun(new Dice(at), {
          shape: of,
          limit_percent,
          band: false,
          missing: some,
          exact: true,
        });
        const claimed_W = run.truth_W * factor;
        fc.pre(claimed_W > 0.1);
        const found = verdict(claimOf(claimed_W, limit_percent, false), run.record).verdict;
        if (found === 'met') expect(claimed_W).toBeLessThan(run.truth_W * (1 + BRACKET));
        if (found === 'not met') expect(claimed_W).toBeGreaterThan(run.truth_W * (1 - BRACKET));
      },
    ),
    {
      numRuns: 1600,
      seed: 23,
      // A hump of more than twice the limit whose far side lies in a gap between the levels.
      examples: [[1702242441, 'hump', 0.1, true, 0.5]],
    },
  );
});

import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type Budget, budgetOf, type Component } from '../../src/measure/budget.js';
import { coverageFactor } from '../../src/measure/student.js';

const component = fc.record({
  source: fc.constant('part'),
  type: fc.constantFrom('A' as const, 'B' as const),
  distribution: fc.constantFrom('normal' as const, 'rectangular' as const),
  standard_percent: fc.double({ min: 1e-6, max: 10, noNaN: true }),
  freedom: fc.option(fc.integer({ min: 7, max: 1e6 }), { nil: null }),
  sensitivity: fc.constantFrom(-1, 0.5, 1, 2),
});
const components = fc.array(component, { minLength: 1, maxLength: 8 });

const drawn = (parts: readonly Component[]): Budget =>
  budgetOf({ quantity: 'power', value: 100, unit: 'W', components: parts });

describe('budgetOf', () => {
  it('never gives a smaller U when a component grows', () => {
    // Below seven degrees of freedom the formula of Welch and Satterthwaite itself can do that: they then rise so fast
    // with the better known part that Student's factor falls faster than the root of the sum grows.
    fc.assert(
      fc.property(components, fc.nat(), fc.double({ min: 1, max: 20, noNaN: true }), (parts, index, by) => {
        const at = index % parts.length;
        const grown = parts.map((part, i) =>
          i === at ? { ...part, standard_percent: by * part.standard_percent } : part,
        );
        expect(drawn(grown).expanded!).toBeGreaterThanOrEqual(drawn(parts).expanded! * (1 - 1e-9));
      }),
    );
  });

  it('never gives a smaller U when there is one component more', () => {
    fc.assert(
      fc.property(components, component, (parts, more) => {
        expect(drawn([...parts, more]).expanded!).toBeGreaterThanOrEqual(drawn(parts).expanded! * (1 - 1e-9));
      }),
    );
  });

  it('lies between the largest component and the sum of all, times the factor of the least freedom', () => {
    fc.assert(
      fc.property(components, (parts) => {
        const acts = parts.map((part) => Math.abs(part.sensitivity) * part.standard_percent);
        const standard = drawn(parts).standard_percent!;
        expect(standard).toBeGreaterThanOrEqual(Math.max(...acts) * (1 - 1e-12));
        expect(standard).toBeLessThanOrEqual(acts.reduce((sum, one) => sum + one, 0) * (1 + 1e-12));
        const least = Math.min(...parts.map((part) => part.freedom ?? Number.POSITIVE_INFINITY));
        const factor = Number.isFinite(least) ? coverageFactor(least) : 2;
        expect(drawn(parts).coverage_factor).toBeLessThanOrEqual(factor + 1e-9);
        expect(drawn(parts).coverage_factor).toBeGreaterThanOrEqual(2);
      }),
    );
  });

  it('has a factor that goes over to 2 without a step, however many degrees of freedom', () => {
    for (const freedom of [1e4, 9.99e4, 1.001e5, 1e7, 1e12]) {
      // First term of the expansion of Student's t: (z^3 + z) / 4 nu (Abramowitz and Stegun 26.7.5, from memory).
      expect(Math.abs(coverageFactor(freedom) - 2 - 2.5 / freedom)).toBeLessThan(3 / freedom ** 2 + 1e-9);
    }
  });
});

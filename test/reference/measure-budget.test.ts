import { describe, expect, it } from 'vitest';
import { budgetOf, type Component, limits, weighed } from '../../src/measure/budget.js';
import { coverageFactor } from '../../src/measure/student.js';
import { relativeError } from '../measure/signals.js';

const repeatability = (standard_percent: number) => ({
  source: 'repeatability',
  type: 'A' as const,
  distribution: 'normal' as const,
  standard_percent,
  freedom: null,
});

function powerBudget(components: readonly Component[]) {
  return budgetOf({ quantity: 'power', value: 100, unit: 'W', components });
}

/**
 * Load +-0.5 %, attenuator +-0.2 %, converter gain +-0.3 %, all rectangular, repeatability of the voltage 0.1 %.
 * Source: worked by hand after JCGM 100:2008, 5.1.2 (clause number from memory): relative variances in
 * %^2 0.0833333 + 0.0533333 + 0.12 + 0.04 = 0.296667.
 */
describe('the worked case of a power of V^2 / R', () => {
  const volts = [limits('attenuator', 0.2), limits('input', 0.3)];
  const ohms = weighed([limits('load', 0.5)], -1);

  it('has a standard uncertainty of 0.544671 % and an expanded one of 1.089342 %', () => {
    const budget = powerBudget([...weighed([...volts, repeatability(0.1)], 2), ...ohms]);
    expect(relativeError(budget.standard_percent!, 0.544671)).toBeLessThan(1e-6);
    expect(relativeError(budget.expanded_percent!, 1.089342)).toBeLessThan(1e-6);
    expect(budget.expanded).toBeCloseTo(1.089342, 6);
  });

  it('has 0.516398 % and 1.032796 % when the repeatability is one of power', () => {
    const budget = powerBudget([...weighed(volts, 2), ...ohms, ...weighed([repeatability(0.1)], 1)]);
    expect(relativeError(budget.standard_percent!, 0.516398)).toBeLessThan(1e-6);
    expect(relativeError(budget.expanded_percent!, 1.032796)).toBeLessThan(1e-6);
  });
});

describe('the coverage factor', () => {
  // Source: Student's t for a probability of 95.4499736 %, as scipy 1.17.1 gives it (scipy.stats.t.ppf).
  it.each([
    [1, 13.96773],
    [2, 4.526537],
    [3, 3.306822],
    [5, 2.648649],
    [10, 2.283678],
    [20, 2.133025],
    [100, 2.025309],
  ])('for %i degrees of freedom is %f', (freedom, factor) => {
    expect(relativeError(coverageFactor(freedom), factor)).toBeLessThan(1e-6);
  });

  it('is 2 for infinitely many', () => {
    expect(coverageFactor(null)).toBe(2);
  });
});

describe('the effective degrees of freedom', () => {
  // Source: JCGM 100:2008, G.4.1 (clause from memory), worked by hand: two equal parts of 4 each give 8.
  it('add up for equal parts', () => {
    const part = { ...repeatability(0.1), freedom: 4 };
    expect(powerBudget(weighed([part, part], 1)).freedom).toBeCloseTo(8, 12);
  });

  it('are infinite when every part is known exactly', () => {
    expect(powerBudget(weighed([limits('load', 1)], -1)).freedom).toBeNull();
  });
});

describe('a budget', () => {
  it('gives no uncertainty when a part states none', () => {
    const budget = budgetOf({ quantity: 'power', value: 1, unit: 'W', components: [], missing: ['load'] });
    expect(budget).toMatchObject({ expanded: null, expanded_percent: null, standard_percent: null });
  });
});

import { coverageFactor } from './student.js';

/** How the possible values of a quantity are spread. */
export type Distribution = 'normal' | 'rectangular' | 'triangular';

/** One independent reason why a quantity is not known exactly. */
export interface Contribution {
  /** What it comes from, in words: `input 1: calibration`. */
  readonly source: string;
  /** JCGM 100:2008: `A` from a series of trials, `B` by other means. */
  readonly type: 'A' | 'B';
  readonly distribution: Distribution;
  /** Standard uncertainty in percent of the quantity that it belongs to. */
  readonly standard_percent: number;
  /** Degrees of freedom; null where the uncertainty itself is taken as exactly known. */
  readonly freedom: number | null;
}

/** A contribution as it acts on a result. */
export interface Component extends Contribution {
  /** Percent of the result for one percent of the quantity. */
  readonly sensitivity: number;
}

export type BudgetQuantity = 'power' | 'voltage' | 'thdn' | 'frequency';

/** Uncertainty budget of one result. */
export interface Budget {
  readonly quantity: BudgetQuantity;
  readonly value: number;
  readonly unit: 'W' | 'V' | '%' | 'Hz';
  readonly components: readonly Component[];
  /** Parts of the chain for which nobody stated anything: with any of these there is no uncertainty to give. */
  readonly missing: readonly string[];
  /** Combined standard uncertainty in percent of the value; null when something is missing. */
  readonly standard_percent: number | null;
  /** Effective degrees of freedom; null: infinite. */
  readonly freedom: number | null;
  readonly coverage_factor: number;
  /** Expanded uncertainty U in percent of the value and in its unit; null when something is missing. */
  readonly expanded_percent: number | null;
  readonly expanded: number | null;
}

/** What a budget is drawn up from. */
export interface BudgetParts {
  readonly quantity: BudgetQuantity;
  readonly value: number;
  readonly unit: Budget['unit'];
  readonly components: readonly Component[];
  readonly missing?: readonly string[];
}

/**
 * Draws up a budget: root of the summed squares of sensitivity times standard uncertainty (JCGM 100:2008,
 * 5.1.2, independent inputs), effective degrees of freedom by Welch and Satterthwaite (G.4.1), and the
 * coverage factor that belongs to them. Clause numbers from memory.
 */
export function budgetOf({ quantity, value, unit, components, missing = [] }: BudgetParts): Budget {
  const standard = Math.hypot(
    ...components.map(({ sensitivity, standard_percent }) => sensitivity * standard_percent),
  );
  const freedom = effectiveFreedom(components, standard);
  const factor = coverageFactor(freedom);
  const stated = missing.length === 0;
  return {
    quantity,
    value,
    unit,
    components,
    missing,
    standard_percent: stated ? standard : null,
    freedom,
    coverage_factor: factor,
    expanded_percent: stated ? factor * standard : null,
    expanded: stated ? (Math.abs(value) * factor * standard) / 100 : null,
  };
}

/** Welch-Satterthwaite: u^4 over the sum of u_i^4 / freedom_i; null when nothing limits it. */
function effectiveFreedom(components: readonly Component[], standard: number): number | null {
  const sum = components.reduce((total, { sensitivity, standard_percent, freedom }) => {
    return freedom === null ? total : total + (sensitivity * standard_percent) ** 4 / freedom;
  }, 0);
  return sum > 0 ? standard ** 4 / sum : null;
}

/** The same contributions as they act with one sensitivity. */
export function weighed(contributions: readonly Contribution[], sensitivity: number): Component[] {
  return contributions.map((contribution) => ({ ...contribution, sensitivity }));
}

/** A contribution of which only limits are known: rectangular, half-width over root three (JCGM 100:2008, 4.3.7). */
export function limits(source: string, halfWidth_percent: number): Contribution {
  return {
    source,
    type: 'B',
    distribution: 'rectangular',
    standard_percent: halfWidth_percent / Math.sqrt(3),
    freedom: null,
  };
}

/** A contribution of which the standard uncertainty is known. @param freedom null: exactly known */
export function normal(
  source: string,
  type: Contribution['type'],
  standard_percent: number,
  freedom: number | null = null,
): Contribution {
  return { source, type, distribution: 'normal', standard_percent, freedom };
}

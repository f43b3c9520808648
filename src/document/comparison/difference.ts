import { type Budget, budgetOf, type Component } from '../../measure/budget.js';
import { type CommonPart, type PlacedFigure, type SortedParts, sortParts } from './common-parts.js';
import type { RunFigure } from './figures-of-run.js';
import { unlikeness } from './match-figures.js';

/** `alike`: the difference is within its uncertainty; `not told`: there is no uncertainty to tell by. */
export type Tendency = 'alike' | 'more' | 'less' | 'not told';

/** How a figure of one run differs from that of the run which the others are held against. */
export interface Difference {
  readonly run: number;
  readonly to: number;
  /** This figure less the other, in the figures' unit. */
  readonly difference: number;
  /** Ratio of the figures: 10 log10 of powers, 20 log10 of voltages and distortions. Null where that says nothing. */
  readonly difference_dB: number | null;
  /** Expanded uncertainties of both; null when one of the figures states none. */
  readonly uncertainty: number | null;
  readonly uncertainty_dB: number | null;
  readonly coverage_factor: number | null;
  /** What the uncertainty was made from: budgets part by part, or the figures' own uncertainties taken as independent. */
  readonly basis: 'budgets' | 'figures' | 'none';
  /** Causes that move both figures alike, so that they cancel in the ratio. */
  readonly cancelled: readonly string[];
  readonly finding: Tendency;
  /** In which respects the settings differ; with any, the finding says nothing about the units by itself. */
  readonly unlike: readonly string[];
}

interface Spread {
  /** Expanded, percent of the first figure. */
  readonly difference_percent: number;
  /** Expanded, percent of the ratio. */
  readonly ratio_percent: number;
  readonly coverage_factor: number | null;
  readonly basis: 'budgets' | 'figures';
  readonly cancelled: readonly string[];
}

/**
 * The difference of two figures with its expanded uncertainty, by the law of propagation (JCGM 100:2008, 5.1.2 and, for
 * causes that both figures share, 5.2.2; F.1.2.3; clause numbers from memory): a shared cause counts with the difference
 * of its two sensitivities, every other by itself; Welch and Satterthwaite give the coverage factor. Decibels are
 * linearised: U(dB) = 10/ln 10 U(ratio)/ratio for powers, twice that for distortions.
 *
 * How much the unit itself changes from run to run is in no budget, and so not in this uncertainty.
 *
 * @returns null when either run has no such figure
 */
export function differenceOf(first: PlacedFigure, second: PlacedFigure): Difference | null {
  const [a, b] = [first.figure.value, second.figure.value];
  if (a === null || b === null) return null;
  const common = {
    run: second.figure.run,
    to: first.figure.run,
    difference: b - a,
    unlike: unlikeness(second.figure, first.figure),
  };
  const decades = a > 0 && b > 0 ? PER_DECADE[first.figure.unit] : null;
  return {
    ...common,
    ...(decades === null ? plainDifference(first, second) : ratioOf(first, second, decades)),
  };
}

/** Decibels for a ratio of ten; null for what no ratio is taken of. */
const PER_DECADE: Readonly<Record<RunFigure['unit'], number | null>> = {
  W: 10,
  V: 20,
  '%': 20,
  dB: null,
  ohm: null,
  K: null,
  s: null,
  '': null,
};

type DifferenceTold = Omit<Difference, 'run' | 'to' | 'difference' | 'unlike'>;

function ratioOf(first: PlacedFigure, second: PlacedFigure, perDecade: number): DifferenceTold {
  const [a, b] = [first.figure.value!, second.figure.value!];
  const difference_dB = perDecade * Math.log10(b / a);
  const spread = spreadOf(first, second, b / a);
  const uncertainty_dB = spread && (perDecade / Math.LN10) * (spread.ratio_percent / 100);
  return {
    difference_dB,
    uncertainty: spread && (a * spread.difference_percent) / 100,
    uncertainty_dB,
    coverage_factor: spread?.coverage_factor ?? null,
    basis: spread?.basis ?? 'none',
    cancelled: spread?.cancelled ?? [],
    finding: concluded(difference_dB, uncertainty_dB),
  };
}

/** Figures of which no ratio is taken: their uncertainties count as independent. Figures in decibels are a ratio already. */
function plainDifference(first: PlacedFigure, second: PlacedFigure): DifferenceTold {
  const [one, other] = [first.figure, second.figure];
  const stated = one.finding.uncertainty !== null && other.finding.uncertainty !== null;
  const uncertainty = stated ? Math.hypot(one.finding.uncertainty!, other.finding.uncertainty!) : null;
  const difference = other.value! - one.value!;
  return {
    difference_dB: one.unit === 'dB' ? difference : null,
    uncertainty,
    uncertainty_dB: one.unit === 'dB' ? uncertainty : null,
    coverage_factor: null,
    basis: stated ? 'figures' : 'none',
    cancelled: [],
    finding: concluded(difference, uncertainty),
  };
}

function concluded(difference: number, uncertainty: number | null): Tendency {
  if (uncertainty === null) return 'not told';
  if (Math.abs(difference) <= uncertainty) return 'alike';
  return difference > 0 ? 'more' : 'less';
}

function spreadOf(first: PlacedFigure, second: PlacedFigure, ratio: number): Spread | null {
  const [one, other] = [first.figure.finding, second.figure.finding];
  if (one.uncertainty === null || other.uncertainty === null) return null;
  if (one.budgets.length === 0 || other.budgets.length === 0) {
    const percents = [one.uncertainty / first.figure.value!, other.uncertainty / second.figure.value!];
    return fromFigures(100 * percents[0]!, 100 * percents[1]!, ratio);
  }
  const parts = sortParts(first, second);
  const relative = expanded(parts, 1);
  return {
    difference_percent: expanded(parts, ratio).expanded_percent!,
    ratio_percent: relative.expanded_percent!,
    coverage_factor: relative.coverage_factor,
    basis: 'budgets',
    cancelled: parts.common.map((part) => part.one.source),
  };
}

/** Without budgets nobody knows what the two share: taken as independent, which is never too little where errors go together. */
function fromFigures(one_percent: number, other_percent: number, ratio: number): Spread {
  return {
    difference_percent: Math.hypot(one_percent, ratio * other_percent),
    ratio_percent: Math.hypot(one_percent, other_percent),
    coverage_factor: null,
    basis: 'figures',
    cancelled: [],
  };
}

/**
 * Budget of the second figure less the first, in percent of the first.
 *
 * @param weight of the second figure: its ratio to the first for the difference itself, 1 for their ratio
 */
function expanded({ common, one, other }: SortedParts, weight: number): Budget {
  return budgetOf({
    quantity: 'power',
    value: 1,
    unit: 'W',
    components: [
      ...common.map((part) => netOf(part, weight)),
      ...one,
      ...(weight === 1 ? other : other.map((component) => weighted(component, weight))),
    ],
  });
}

/** Spelt out: a comparison weighs tens of thousands, and copying what has no other name takes several times as long. */
const weighted = (
  { source, type, distribution, standard_percent, freedom, sensitivity }: Component,
  weight: number,
): Component => ({
  source,
  type,
  distribution,
  standard_percent,
  freedom,
  sensitivity: weight * sensitivity,
});

/** What is left of a cause that acts on both. Its standard uncertainty may differ a little from run to run (a warmer load). */
function netOf({ one, other }: CommonPart, weight: number): Component {
  const effect = ({ sensitivity, standard_percent }: Component) => sensitivity * standard_percent;
  return { ...one, sensitivity: 1, standard_percent: Math.abs(weight * effect(other) - effect(one)) };
}

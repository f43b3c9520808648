import { formatQuantity } from './format.js';
import type { Unit } from './quantity.js';
import { UNIT_RULES } from './unit-rules.js';

/** A value and its expanded uncertainty as they are printed, each with its unit. */
export interface Uncertain {
  /** `99.60 W`. */
  readonly value: string;
  /** `0.17 W`. */
  readonly within: string;
}

/** A bench that states less than a millionth of a value is a computed one: no more figures than these say anything. */
const MOST_FIGURES = 6;
/** Rounding may make an uncertainty smaller by no more than this share; beyond it is rounded up. */
const MOST_SHRUNK = 0.05;

/**
 * Prints a value with its expanded uncertainty, both to the same decimal place and in the same unit: `99.60 W ± 0.17 W`,
 * `103.8 W ± 0.8 W`. U has two significant digits where its first is 1 or 2, else one, and is rounded up where rounding
 * would make it smaller by more than 5 % (after JCGM 100:2008, 7.2.6, from memory: at most two digits). Without U the
 * value has the figures usual for its unit.
 *
 * @param value in the base unit of `unit`
 * @param uncertainty expanded, in the same unit; null where none is stated
 */
export function formatUncertain(value: number, uncertainty: number | null, unit: Unit): string {
  const parts = uncertainParts(value, uncertainty, unit);
  return parts === null ? formatQuantity(value, unit) : `${parts.value} ± ${parts.within}`;
}

/** The same apart; null where no uncertainty is stated, or where value or uncertainty is no number. */
export function uncertainParts(value: number, uncertainty: number | null, unit: Unit): Uncertain | null {
  if (uncertainty === null || !Number.isFinite(value) || !Number.isFinite(uncertainty)) return null;
  const { printed } = UNIT_RULES[unit];
  const size = Math.max(Math.abs(value), uncertainty);
  const fits = ({ factor }: { readonly factor: number }, of: number) => of >= factor * (1 - 1e-9);
  const first =
    printed.findLast((one) => fits(one, size)) ?? printed.find((one) => size > 0 || one.factor === 1)!;
  // 999.97 mW ± 0.3 mW rounds to 1 W: the rounded value decides which prefix it gets.
  const place = placeOf(value / first.factor, uncertainty / first.factor);
  const rounded = roundTo(size / first.factor, place) * first.factor;
  const last = printed.findLast((one) => fits(one, rounded)) ?? first;
  const end = placeOf(value / last.factor, uncertainty / last.factor);
  const print = (number: number) => `${number.toFixed(Math.max(0, end))} ${last.symbol}`.trimEnd();
  return {
    value: print(roundTo(value / last.factor, end)),
    within: print(roundedUncertainty(uncertainty / last.factor, end)),
  };
}

/** Decimal place that both end at: 2 for hundredths, -1 for tens. */
function placeOf(value: number, uncertainty: number): number {
  const most = MOST_FIGURES - 1 - orderOf(Math.max(Math.abs(value), uncertainty));
  if (uncertainty <= 0) return most;
  const order = orderOf(uncertainty);
  const leading = Math.floor(uncertainty / 10 ** order + 1e-9);
  return Math.min(most, (leading <= 2 ? 1 : 0) - order);
}

/** 0 for 1 to 9.99, -1 for 0.1 to 0.999. */
const orderOf = (size: number): number => (size === 0 ? 0 : Math.floor(Math.log10(size) + 1e-12));

/** Never minus zero. */
const roundTo = (value: number, place: number): number =>
  (place < 0 ? Math.round(value * 10 ** place) / 10 ** place : Number(value.toFixed(Math.min(100, place)))) ||
  0;

function roundedUncertainty(uncertainty: number, place: number): number {
  const rounded = roundTo(uncertainty, place);
  return rounded >= uncertainty * (1 - MOST_SHRUNK) ? rounded : rounded + 10 ** -place;
}

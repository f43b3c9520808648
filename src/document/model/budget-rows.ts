import type { Budget } from '../../measure/budget.js';
import { formatQuantity } from '../../units/format.js';
import { formatUncertain } from '../../units/format-uncertain.js';
import { figures } from './make-blocks.js';
import { factorWords } from './wording.js';

const QUANTITIES: Readonly<Record<Budget['quantity'], string>> = {
  power: 'Power',
  voltage: 'Voltage',
  thdn: 'THD+N',
  frequency: 'Frequency',
};

/** `Power 100.9 W ± 1.1 W: U = 1.1 %, k = 2`, or why there is no uncertainty. */
export function budgetHead({ quantity, value, unit, expanded, ...budget }: Budget): string {
  const figure = formatQuantity(value, unit, quantity === 'frequency' ? { figures: 7 } : {});
  if (expanded === null || budget.expanded_percent === null)
    return `${QUANTITIES[quantity]} ${figure}: no uncertainty, since these are not stated: ${budget.missing.join(', ')}`;
  if (budget.expanded_percent < LEAST_SHOWN)
    return `${QUANTITIES[quantity]} ${figure}: U is below ${LEAST_SHOWN} %`;
  const relative = `U = ${shortFigure(budget.expanded_percent)} %, ${factorWords([budget.coverage_factor])}`;
  return `${QUANTITIES[quantity]} ${formatUncertain(value, expanded, unit)}: ${relative}`;
}

/** Some figures of a number, at most four decimals, never in exponent notation. */
export function shortFigure(value: number, figures = 2): string {
  const size = Math.abs(value);
  if (size === 0) return '0';
  if (size < LEAST_SHOWN) return `<${LEAST_SHOWN}`;
  const decimals = Math.max(0, figures - 1 - Math.floor(Math.log10(size)));
  return value.toFixed(Math.min(4, decimals));
}

/** Below this a share of a figure in percent is nothing to anybody. */
const LEAST_SHOWN = 0.0001;

/** Columns of a budget as a table. */
export const BUDGET_COLUMNS = [
  'Source',
  'Type',
  'Distribution',
  ...figures('Standard %', 'Sensitivity', 'Contribution %', 'Degrees of freedom'),
];

/** The rows of a budget: every component, then all of them together. */
export function budgetRows(budget: Budget): string[][] {
  const rows = budget.components.map((one) => [
    one.source,
    one.type,
    one.distribution,
    shortFigure(one.standard_percent),
    sensitivityWords(one.sensitivity),
    shortFigure(Math.abs(one.sensitivity) * one.standard_percent),
    freedomWords(one.freedom),
  ]);
  const { standard_percent, expanded_percent, coverage_factor, freedom } = budget;
  if (standard_percent === null || expanded_percent === null) return rows;
  return [
    ...rows,
    ['Combined standard uncertainty', ...NOTHING, shortFigure(standard_percent), freedomWords(freedom)],
    [`Expanded, ${factorWords([coverage_factor])} (95.45 %)`, ...NOTHING, shortFigure(expanded_percent), ''],
  ];
}

/** What the sums have in the columns of a single component. */
const NOTHING = ['', '', '', ''];

const sensitivityWords = (value: number): string =>
  Number.isInteger(value) ? String(value) : shortFigure(value, 3);

/** Degrees of freedom, to the whole number below; a dash for infinitely many. */
function freedomWords(freedom: number | null): string {
  return freedom === null || freedom > MOST_FREEDOM ? '–' : String(Math.floor(freedom * (1 + 1e-9)));
}

/** More degrees of freedom than this are as good as infinitely many. */
const MOST_FREEDOM = 1e6;

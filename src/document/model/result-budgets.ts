import type { Budget } from '../../measure/budget.js';
import type { Result } from '../../record/old-results.js';
import type { RunRecord } from '../../record/run-record.js';
import { formatQuantity } from '../../units/format.js';
import type { Unit } from '../../units/quantity.js';
import { oneLine } from '../text/visible-text.js';
import { channelWords, factorWords, settingWords, uncertaintyBeside } from './wording.js';

/** A result with the budgets that stand behind its figures. */
export interface BudgetedResult {
  readonly result: Result;
  readonly budgets: readonly Budget[];
}

/** The results of a run that have budgets, in the order they were found. */
export function budgetedResults({ results }: RunRecord): BudgetedResult[] {
  return results.flatMap((result) => (result.budgets?.length ? [{ result, budgets: result.budgets }] : []));
}

/** Where a result belongs: `climb-1k, channel 2: power at 0.1 %, 8 ohm, channels 1 and 2 driven`. */
export function resultTitle(result: Result): string {
  const channel = result.channel === 0 ? 'all channels' : channelWords([result.channel]);
  const frequency_Hz = 'frequency_Hz' in result ? result.frequency_Hz : undefined;
  const setting = settingWords(result.load_ohm, result.driven, frequency_Hz);
  return `${oneLine(result.step, 60)}, ${channel}: ${figureName(result)}, ${setting}`;
}

function figureName(result: Result): string {
  switch (result.kind) {
    case 'power-at-thdn':
    case 'sum':
      return `power at ${formatQuantity(result.threshold_percent, '%')}`;
    case 'ceiling':
      return `most power at ${formatQuantity(result.threshold_percent, '%')}`;
    case 'knee':
      return 'knee';
    case 'band':
      return 'worst of the band';
    case 'hold':
      return 'hold';
    case 'cause':
      return 'cause';
  }
}

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
    return `${QUANTITIES[quantity]} ${figure}: no uncertainty, since nobody stated ${budget.missing.join(', ')}`;
  if (budget.expanded_percent < LEAST_SHOWN)
    return `${QUANTITIES[quantity]} ${figure}: U is below ${LEAST_SHOWN} %`;
  const relative = `U = ${shortFigure(budget.expanded_percent)} %, ${factorWords([budget.coverage_factor])}`;
  return `${QUANTITIES[quantity]} ${figure} ± ${besides(figure, expanded, unit)}: ${relative}`;
}

function besides(figure: string, expanded: number, unit: Budget['unit']): string {
  return unit === 'W'
    ? uncertaintyBeside(figure, expanded)
    : formatQuantity(expanded, unit as Unit, { figures: 2 });
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

/** Columns of a budget as a table; the first holds words. */
export const BUDGET_COLUMNS = [
  'Source',
  'Type',
  'Distribution',
  'Standard %',
  'Sensitivity',
  'Contribution %',
  'Freedom',
] as const;

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
    ['Combined standard uncertainty', '', '', '', '', shortFigure(standard_percent), freedomWords(freedom)],
    [
      `Expanded, ${factorWords([coverage_factor])} (95.45 %)`,
      '',
      '',
      '',
      '',
      shortFigure(expanded_percent),
      '',
    ],
  ];
}

const sensitivityWords = (value: number): string =>
  Number.isInteger(value) ? String(value) : shortFigure(value, 3);

/** Degrees of freedom, to the whole number below; a dash for infinitely many. */
function freedomWords(freedom: number | null): string {
  return freedom === null || freedom > MOST_FREEDOM ? '–' : String(Math.floor(freedom * (1 + 1e-9)));
}

/** More degrees of freedom than this are as good as infinitely many. */
const MOST_FREEDOM = 1e6;

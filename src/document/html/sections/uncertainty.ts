import type { RunRecord } from '../../../record/run-record.js';
import { usedCalibration } from '../../model/calibration-used.js';
import {
  BUDGET_COLUMNS,
  type BudgetedResult,
  budgetedResults,
  budgetHead,
  budgetRows,
  resultTitle,
} from '../../model/result-budgets.js';
import { visibleText } from '../../text/visible-text.js';
import { html, type Markup } from '../markup.js';
import { typeset } from '../typeset.js';
import { table } from './table.js';

/** More budgets than these nobody reads on a page, and they make it large; the JSON export holds them all. */
const MOST_BUDGETS = 24;

/** So many budgets open on paper; the others are left out there. */
const PRINTED = 2;

/** What makes each power uncertain, folded away until it is asked for, and the calibration that it rests on. */
export function uncertainty(record: RunRecord): Markup {
  const all = tellingResults(budgetedResults(record));
  const shown = all.slice(0, MOST_BUDGETS);
  const left = budgetedResults(record).length - shown.length;
  return html`${shown.length === 0 && html`<p>No budgets were kept with this run.</p>`}${shown.map((one, i) => budgetDetails(one, i < PRINTED))}
${shown.length > PRINTED && html`<p class="only-paper">Printed are ${PRINTED} budgets; the page on screen and the JSON export have more.</p>`}
${left > 0 && html`<p>${left} more ${left === 1 ? 'budget is' : 'budgets are'} in the JSON export.</p>`}
${calibrationTable(record)}`;
}

/** Of the ceilings of a step only the lowest of each channel: it is the one that decides. */
function tellingResults(all: readonly BudgetedResult[]): BudgetedResult[] {
  const lowest = new Map<string, BudgetedResult>();
  for (const one of all) {
    const { result } = one;
    if (result.kind !== 'ceiling') continue;
    const key = JSON.stringify([result.step, result.channel, result.load_ohm, result.driven]);
    const known = lowest.get(key)?.result;
    if (known?.kind !== 'ceiling' || (result.power_W ?? 0) < (known.power_W ?? 0)) lowest.set(key, one);
  }
  const kept = new Set(lowest.values());
  return all.filter((one) => one.result.kind !== 'ceiling' || kept.has(one));
}

function budgetDetails({ result, budgets }: BudgetedResult, printed: boolean): Markup {
  const power = budgets.find(({ quantity }) => quantity === 'power') ?? budgets[0]!;
  return html`<details class="budget${printed && ' paper'}"><summary>${typeset(visibleText(resultTitle(result)))}</summary>
${table(
  typeset(visibleText(budgetHead(power))),
  BUDGET_COLUMNS.map((name, i) => ({ name, figures: i > 2 })),
  budgetRows(power).map(([source, ...rest]) => [typeset(visibleText(source!)), ...rest]),
)}${budgets
  .filter((budget) => budget !== power)
  .map((budget) => html`<p>${typeset(visibleText(budgetHead(budget)))}</p>`)}</details>
`;
}

function calibrationTable(record: RunRecord): Markup {
  const used = usedCalibration(record);
  if (used.length === 0) return html``;
  return table(
    'Calibration used',
    [{ name: 'Record' }, { name: 'Of' }, { name: 'Made' }, { name: 'Due' }, { name: 'SHA-256 begins' }],
    used.map(({ id, kind, date, due, hash }) => [
      html`<bdi>${visibleText(id)}</bdi>`,
      visibleText(kind),
      date ?? '–',
      due ?? '–',
      html`<code>${visibleText(hash)}</code>`,
    ]),
  );
}

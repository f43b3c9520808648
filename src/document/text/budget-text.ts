import picocolors from 'picocolors';
import type { Budget } from '../../measure/budget.js';
import type { RunRecord } from '../../record/run-record.js';
import { usedCalibration } from '../model/calibration-used.js';
import {
  BUDGET_COLUMNS,
  budgetedResults,
  budgetHead,
  budgetRows,
  resultTitle,
} from '../model/result-budgets.js';
import type { TextOptions } from './text-summary.js';
import { textTable } from './text-table.js';
import { oneLine, visibleText } from './visible-text.js';
import { wrapText } from './wrap-text.js';

/** Column heads that leave room for the sources on 80 columns. */
const SHORT_COLUMNS = ['Source', 'Type', 'Spread', 'Std %', 'Sens.', 'Part %', 'Freedom'] as const;
/** From here on the table has room for the words in full. */
const ROOMY = 110;

/** The uncertainty budgets behind every result of a run, as tables, and the calibration that they rest on. */
export function budgetText(record: RunRecord, { width, colour }: TextOptions): string {
  const columns = Math.min(120, Math.max(60, width));
  const { bold } = picocolors.createColors(colour);
  const results = budgetedResults(record);
  const head = bold(`Run ${record.run}: ${oneLine(record.unit.label, columns - 12)}`);
  if (results.length === 0) return [head, noBudgets(record)].join('\n');
  return [
    head,
    ...results.map(({ result, budgets }) =>
      [bold(wrapText(resultTitle(result), columns)), ...budgets.map((budget) => table(budget, columns))].join(
        '\n\n',
      ),
    ),
    `${bold('Calibration used')}\n${calibration(record, columns)}`,
  ].join('\n\n');
}

function noBudgets(record: RunRecord): string {
  return record.results.length === 0
    ? 'This run ended before it had a result, so there is no budget.'
    : 'No budgets were kept with this run: it was made before they were.';
}

function table(budget: Budget, width: number): string {
  const head = width < ROOMY ? SHORT_COLUMNS : BUDGET_COLUMNS;
  const rows = budgetRows(budget);
  const words = wrapText(visibleText(budgetHead(budget)), width, '  ');
  return rows.length === 0 ? words : `${words}\n${textTable(head, rows, [3, 4, 5, 6], width)}`;
}

function calibration(record: RunRecord, width: number): string {
  const used = usedCalibration(record);
  if (used.length === 0) return wrapText('No record: what the bench file states itself was used.', width);
  const rows = used.map(({ id, kind, date, due, hash }) => [
    oneLine(id, 60),
    kind,
    date ?? '–',
    due ?? '–',
    hash,
  ]);
  return textTable(['record', 'of', 'made', 'due', 'sha256'], rows, [], width);
}

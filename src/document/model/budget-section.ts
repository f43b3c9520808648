import type { Budget } from '../../measure/budget.js';
import { type Finding, numberOf } from '../../record/finding.js';
import type { RunRecord } from '../../record/run-record.js';
import { formatQuantity } from '../../units/format.js';
import { formatUncertain } from '../../units/format-uncertain.js';
import type { Block, Section } from './block.js';
import { usedCalibration } from './calibration-used.js';
import { groupsBy } from './finding-groups.js';
import { findingName, placeWords, termsWords, whoseWords } from './finding-words.js';
import { details, figures, section, table, text } from './make-blocks.js';
import { factorWords } from './wording.js';

/** More budgets than these nobody reads on a page, and they make it large; the JSON export holds them all. */
const MOST_BUDGETS = 24;
/** So many budgets open on paper; the others are left out there. */
const PRINTED = 2;

/** What makes figures uncertain, folded away, and the calibration that it rests on. */
export function uncertaintySection(record: RunRecord, findings: readonly Finding[]): Section {
  const all = budgeted(findings);
  const shown = telling(all).slice(0, MOST_BUDGETS);
  const left = all.length - shown.length;
  const printed = `Printed: the first ${PRINTED} budgets. The page on screen and the JSON export have all that are listed.`;
  return section('uncertainty', 'Uncertainty', [
    ...(shown.length === 0 ? [text(noBudgets(findings))] : []),
    ...shown.map((finding, i) => details(budgetTitle(finding), budgetBlocks(finding), i >= PRINTED)),
    ...(shown.length > PRINTED ? [text(printed, 'small')] : []),
    ...(left > 0
      ? [text(`${left} more ${left === 1 ? 'budget is' : 'budgets are'} in the JSON export.`, 'small')]
      : []),
    calibrationBlock(record),
  ]);
}

/** The budgets of all findings, unfolded: what `show --budget` prints. */
export function budgetSections(record: RunRecord, findings: readonly Finding[]): Section[] {
  const all = budgeted(findings);
  return [
    ...(all.length === 0
      ? [section('budgets', 'Uncertainty', [text(noBudgets(findings))])]
      : all.map((finding, i) => section(`budget-${i + 1}`, budgetTitle(finding), budgetBlocks(finding)))),
    section('calibration', 'Calibration used', [calibrationBlock(record)]),
  ];
}

const budgeted = (findings: readonly Finding[]): Finding[] =>
  findings.filter(({ budgets }) => budgets.length > 0);

const noBudgets = (findings: readonly Finding[]): string =>
  findings.length === 0
    ? 'This run ended before it had a result, so there is no budget.'
    : 'No budgets were kept with this run.';

/** Where a budget belongs: `Maximum power at 0.1 % THD+N, 1 kHz, channel 2, 8 ohm, channels 1 and 2 driven`. */
export const budgetTitle = (finding: Finding): string =>
  [findingName(finding), placeWords(finding), whoseWords(finding), termsWords(finding)].join(', ');

/** Of the searches of a step, one for each frequency, only the lowest of each channel: it is the one that decides. */
function telling(findings: readonly Finding[]): Finding[] {
  const groups = groupsBy(findings, ({ quantity, statistic, setting, terms }) => [
    quantity,
    statistic,
    terms.threshold_percent,
    setting,
  ]);
  const kept = new Set(
    groups.map((group) => group.reduce((a, b) => ((numberOf(b) ?? 0) < (numberOf(a) ?? 0) ? b : a))),
  );
  return findings.filter((finding) => kept.has(finding));
}

const budgetBlocks = ({ budgets }: Finding): Block[] =>
  budgets.map((budget) => {
    const [head, rows] = [budgetHead(budget), budgetRows(budget)];
    return rows.length === 0 ? text(head) : table(head, BUDGET_COLUMNS, rows);
  });

function calibrationBlock(record: RunRecord): Block {
  const used = usedCalibration(record);
  if (used.length === 0) return text('No calibration record was used: the figures of the bench file were.');
  return table(
    'Calibration used',
    ['Record', 'Of', 'Made', 'Due', 'SHA-256 begins'],
    used.map(({ id, kind, date, due, hash }) => [
      { text: id, given: true },
      kind,
      date ?? '–',
      due ?? '–',
      hash,
    ]),
  );
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
const BUDGET_COLUMNS = [
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

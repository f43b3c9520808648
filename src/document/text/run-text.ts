import picocolors from 'picocolors';
import { judgeRun } from '../../judgement/judged-run.js';
import type { RunRecord } from '../../record/run-record.js';
import { oneLine } from '../../units/visible-text.js';
import { answerBlocks, closingBlocks } from '../model/answer.js';
import { budgetSections } from '../model/budget-section.js';
import { terminalSections } from '../model/run-document.js';
import { shownFindings } from '../model/shown-findings.js';
import { renderBlocks, renderSections, type TextOptions } from './render-blocks.js';

/** Text is kept within so many columns. */
const WIDTHS = { from: 40, to: 120 } as const;

/**
 * What a run found, for a terminal: the answer, the verdicts on its claim, the ratings, what each kind of step shows, the
 * flags in words, how to repeat it, and the answer again: a reader looks at the last lines first. No line end at the end.
 *
 * @param claim a claim to judge the run by besides its own; null without
 * @throws DocumentError when `claim` is none
 */
export function runText(record: RunRecord, options: TextOptions, claim: string | null = null): string {
  const fitted = withinLimits(options);
  const ground = { record, judged: judgeRun(record, claim), floorAt: () => null };
  const opening = `${heading(record, fitted)}\n${renderBlocks(answerBlocks(ground), fitted)}`;
  const sections = renderSections(terminalSections(ground, options.details ?? false), fitted);
  return [opening, sections, renderBlocks(closingBlocks(ground), fitted)].join('\n\n');
}

/** The uncertainty budgets behind every figure of a run, and the calibration that they rest on. */
export function budgetText(record: RunRecord, options: TextOptions): string {
  const fitted = withinLimits(options);
  return [
    heading(record, fitted),
    renderSections(budgetSections(record, shownFindings(record)), fitted),
  ].join('\n\n');
}

const withinLimits = (options: TextOptions): TextOptions => ({
  ...options,
  width: Math.min(WIDTHS.to, Math.max(WIDTHS.from, options.width)),
});

const heading = ({ run, unit }: RunRecord, { width, colour }: TextOptions): string =>
  picocolors.createColors(colour).bold(`Run ${run}: ${oneLine(unit.label, width - 12)}`);

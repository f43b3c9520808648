import { unknownFindingsOf } from '../../record/findings-of.js';
import type { Block, Section } from './block.js';
import { uncertaintySection } from './budget-section.js';
import { checkSection } from './check-section.js';
import { conditionSection } from './condition-section.js';
import { findingsTable } from './findings-table.js';
import { flagSection } from './flag-section.js';
import type { Ground } from './ground.js';
import { details, section } from './make-blocks.js';
import { protocolSection } from './protocol-section.js';
import { ratingSection } from './rating-section.js';
import { readingBlocks } from './reading-section.js';
import { paperBlocks, repeatSection } from './repeat-section.js';
import { sensorSection } from './sensor-section.js';
import { shownFindings } from './shown-findings.js';
import { stepSections } from './step-sections.js';
import { unknownSection } from './unknown-section.js';
import { verdictSection } from './verdict-section.js';

/** A page stays readable, and below its size limit, with this many rows. */
const MOST_FINDINGS = 200;

/** The sections of a run after its opening, the most telling first. A page has all of them. */
export function pageSections(ground: Ground): Section[] {
  const { record } = ground;
  const findings = shownFindings(record);
  return [
    ...shared(ground),
    uncertaintySection(record, findings),
    ...conditionSection(record),
    section('papers', 'Details, and what is needed to repeat the run', [
      ...findingBlocks(ground),
      ...readingBlocks(record),
      ...paperBlocks(record),
    ]),
  ];
}

/** What a terminal has of them: budgets, conditions and readings stand in the page, or behind `--details`. */
export function terminalSections(ground: Ground, details: boolean): Section[] {
  const { record } = ground;
  return [
    ...shared(ground),
    ...(details ? [...conditionSection(record), section('details', 'Details', findingBlocks(ground))] : []),
    repeatSection(record),
  ];
}

function shared(ground: Ground): Section[] {
  const { record, judged } = ground;
  const findings = shownFindings(record);
  return [
    ...checkSection(judged),
    ...verdictSection(judged),
    ...stepSections(ground, findings),
    ...ratingSection(judged),
    ...unknownSection(unknownFindingsOf(record)),
    ...sensorSection(ground),
    ...flagSection(record),
    ...protocolSection(judged),
  ];
}

/** Every finding in one table, folded away. */
function findingBlocks({ record }: Ground): Block[] {
  const findings = shownFindings(record);
  if (findings.length === 0) return [];
  const shown = findings.slice(0, MOST_FINDINGS);
  const count =
    shown.length < findings.length
      ? `${shown.length} of ${findings.length} figures; the export as results-csv holds them all`
      : `${findings.length} ${findings.length === 1 ? 'figure' : 'figures'}`;
  return [
    details(`Every figure (${count})`, [findingsTable('Every figure, in the order found', shown)], true),
  ];
}

import { type Finding, numberOf } from '../../record/finding.js';
import { oneLine } from '../../units/visible-text.js';
import type { Block, TableCell } from './block.js';
import { causeEvidence, causesOf } from './cause-words.js';
import { findingCell, findingName, placeWords, termsWords, valueWords, whoseWords } from './finding-words.js';
import { figures, table } from './make-blocks.js';
import { notesOf } from './reason-words.js';
import { capital } from './wording.js';

const COLUMNS = ['Figure', ...figures('Value', 'At'), 'Step and channel', 'Conditions', 'Notes'];

/** Findings of any kind, a row each: what, how much, where, on what terms, and what belongs to it. */
export const findingsTable = (title: string, findings: readonly Finding[]): Block =>
  table(
    title,
    COLUMNS,
    findings.map((finding): TableCell[] => [
      findingName(finding),
      numberOf(finding) === null ? valueWords(finding) : findingCell(finding),
      placeWords(finding),
      `${oneLine(finding.setting.step, 40)}, ${whoseWords(finding)}`,
      termsWords(finding),
      capital([...notesOf(finding), ...causeEvidence(causesOf(finding)), ...finding.flags].join('; ')),
    ]),
  );

import type { StoredFinding } from '../../record/finding.js';
import { oneLine } from '../../units/visible-text.js';
import type { Section, TableCell } from './block.js';
import { figures, section, table, text } from './make-blocks.js';
import { channelWords } from './wording.js';

/** Longest value of a shape that nobody knows here. */
const LONGEST = 120;

const TITLE = 'Figures that this version does not know';
const WARNING =
  'A later version of ohmest made these figures. They are listed as they are stored, and count towards no rating and no verdict.';

/** What a later version concluded that this one does not know: listed by its names, and never drawn a conclusion from. */
export function unknownSection(findings: readonly StoredFinding[]): Section[] {
  if (findings.length === 0) return [];
  const columns = ['Quantity', ...figures('Value'), 'Kind of step', 'Step and channel'];
  const rows = findings.map(({ quantity, value, setting }): TableCell[] => [
    { text: oneLine(quantity, LONGEST), given: true },
    valueCell(value),
    { text: oneLine(setting.step_kind, LONGEST), given: true },
    `${oneLine(setting.step, 40)}, ${setting.channel === null ? 'all channels' : channelWords([setting.channel])}`,
  ]);
  return [section('unknown', TITLE, [text(WARNING, 'warning'), table(TITLE, columns, rows)])];
}

const valueCell = (value: unknown): TableCell => {
  if (typeof value === 'number') return { text: String(Number(value.toPrecision(4))), exact: value };
  return value === null || value === undefined
    ? '–'
    : { text: oneLine(JSON.stringify(value), LONGEST), given: true };
};

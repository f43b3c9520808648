import type { StoredFinding } from '../../record/finding.js';
import { oneLine } from '../../units/visible-text.js';
import type { Section, TableCell } from './block.js';
import { channelWords } from './wording.js';

/** Longest value of a shape that nobody knows here. */
const LONGEST = 120;

/** What a later version concluded that this one does not know: listed by its names, and never drawn a conclusion from. */
export function unknownSection(findings: readonly StoredFinding[]): Section[] {
  if (findings.length === 0) return [];
  return [
    {
      id: 'unknown',
      title: 'Figures that this version does not know',
      blocks: [
        {
          kind: 'text',
          look: 'warning',
          text: 'A later version of ohmest made these figures. They are listed as they are stored, and count towards no rating and no verdict.',
        },
        {
          kind: 'table',
          title: 'Figures that this version does not know',
          columns: [
            { name: 'Quantity' },
            { name: 'Value', figures: true },
            { name: 'Kind of step' },
            { name: 'Step and channel' },
          ],
          rows: findings.map(({ quantity, value, setting }): TableCell[] => [
            { text: oneLine(quantity, LONGEST), given: true },
            valueCell(value),
            { text: oneLine(setting.step_kind, LONGEST), given: true },
            `${oneLine(setting.step, 40)}, ${setting.channel === null ? 'all channels' : channelWords([setting.channel])}`,
          ]),
        },
      ],
    },
  ];
}

const valueCell = (value: unknown): TableCell => {
  if (typeof value === 'number') return { text: String(Number(value.toPrecision(4))), exact: value };
  return value === null || value === undefined
    ? '–'
    : { text: oneLine(JSON.stringify(value), LONGEST), given: true };
};

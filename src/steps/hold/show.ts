import type { Block, Section } from '../../document/model/block.js';
import { holdCharts } from '../../document/model/charts/hold-chart.js';
import { channelsOf, findingFor, groupsBy, notesBelow } from '../../document/model/finding-groups.js';
import { findingCell, NONE, placeWords, termsWords } from '../../document/model/finding-words.js';
import type { ShowGround } from '../../document/model/ground.js';
import { type Finding, numberOf } from '../../record/finding.js';
import { decibelsOfPower } from '../../units/decibel.js';
import { oneLine } from '../../units/visible-text.js';

/** Holds: how power, THD+N and DC stood over the time of one level. */
export function showHold(ground: ShowGround): readonly Section[] {
  const steps = groupsBy(ground.findings, ({ setting }) => [setting.step, setting.load_ohm, setting.driven]);
  if (steps.length === 0) return [];
  return [
    {
      id: 'holds',
      title: 'Levels held over time, at constant drive',
      blocks: [
        ...holdCharts(ground).map((chart): Block => ({ kind: 'chart', page_only: true, ...chart })),
        ...steps.flatMap(holdBlocks),
      ],
    },
  ];
}

const COLUMNS = ['Channel', 'Start', 'End', 'Change', 'Lowest', 'Deepest dip', 'THD+N', 'DC'];

function holdBlocks(found: readonly Finding[]): Block[] {
  const notes = notesBelow(found);
  return [
    {
      kind: 'table',
      title: `${oneLine(found[0]!.setting.step, 40)}: ${placeWords(found[0])}, ${termsWords(found[0]!)}`,
      columns: COLUMNS.map((name) => ({ name, figures: true })),
      rows: channelsOf(found).map((channel) => {
        const own = found.filter(({ setting }) => setting.channel === channel);
        const [first, last] = [
          findingFor(own, 'power', { statistic: 'first' }),
          findingFor(own, 'power', { statistic: 'last' }),
        ];
        return [
          String(channel),
          findingCell(first),
          findingCell(last),
          changeWords(first, last),
          findingCell(findingFor(own, 'power', { statistic: 'minimum' })),
          findingCell(findingFor(own, 'dip')),
          findingCell(findingFor(own, 'thdn')),
          findingCell(findingFor(own, 'dc')),
        ];
      }),
    },
    { kind: 'text', look: 'small', text: 'Dip, THD+N and DC: highest of the hold.' },
    ...(notes.length > 0 ? [{ kind: 'list' as const, items: notes }] : []),
  ];
}

function changeWords(first: Finding | undefined, last: Finding | undefined): string {
  const [from, to] = [first && numberOf(first), last && numberOf(last)];
  if (from == null || to == null || !(from > 0) || !(to > 0)) return NONE;
  const text = decibelsOfPower(to / from).toFixed(2);
  return `${text === '-0.00' ? '0.00' : text} dB`;
}

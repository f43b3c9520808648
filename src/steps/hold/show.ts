import type { Block, Section } from '../../document/model/block.js';
import { holdCharts } from '../../document/model/charts/hold-chart.js';
import {
  channelsOf,
  findingFor,
  groupsBy,
  notesBelow,
  ofChannel,
} from '../../document/model/finding-groups.js';
import { findingCell, NONE, placeWords, termsWords } from '../../document/model/finding-words.js';
import type { ShowGround } from '../../document/model/ground.js';
import { figures, list, pictures, section, table, text } from '../../document/model/make-blocks.js';
import { type Finding, numberOf } from '../../record/finding.js';
import { decibelsOfPower } from '../../units/decibel.js';
import { oneLine } from '../../units/visible-text.js';

/** Holds: how power, THD+N and DC stood over the time of one level. */
export function showHold(ground: ShowGround): readonly Section[] {
  const steps = groupsBy(ground.findings, ({ setting }) => [setting.step, setting.load_ohm, setting.driven]);
  if (steps.length === 0) return [];
  return [
    section('holds', 'Levels held over time, at constant drive', [
      ...pictures(holdCharts(ground), true),
      ...steps.flatMap(holdBlocks),
    ]),
  ];
}

const COLUMNS = figures('Channel', 'Start', 'End', 'Change', 'Lowest', 'Deepest dip', 'THD+N', 'DC');

function holdBlocks(found: readonly Finding[]): Block[] {
  const title = `${oneLine(found[0]!.setting.step, 40)}: ${placeWords(found[0])}, ${termsWords(found[0]!)}`;
  const rows = channelsOf(found).map((channel) => {
    const own = ofChannel(found, channel);
    const power = (statistic: Finding['statistic']) => findingFor(own, 'power', { statistic });
    return [
      String(channel),
      findingCell(power('first')),
      findingCell(power('last')),
      changeWords(power('first'), power('last')),
      findingCell(power('minimum')),
      findingCell(findingFor(own, 'dip')),
      findingCell(findingFor(own, 'thdn')),
      findingCell(findingFor(own, 'dc')),
    ];
  });
  return [
    table(title, COLUMNS, rows),
    text('Dip, THD+N and DC: highest of the hold.', 'small'),
    ...list(notesBelow(found)),
  ];
}

function changeWords(first: Finding | undefined, last: Finding | undefined): string {
  const [from, to] = [first && numberOf(first), last && numberOf(last)];
  if (from == null || to == null || !(from > 0) || !(to > 0)) return NONE;
  const words = decibelsOfPower(to / from).toFixed(2);
  return `${words === '-0.00' ? '0.00' : words} dB`;
}

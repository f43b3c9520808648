import type { Block, Section, TableCell } from '../../document/model/block.js';
import { climbCharts } from '../../document/model/charts/climb-chart.js';
import { spectrumCharts } from '../../document/model/charts/spectrum-chart.js';
import {
  channelsOf,
  findingFor,
  groupsBy,
  notesBelow,
  ofChannel,
  thresholdsOf,
} from '../../document/model/finding-groups.js';
import {
  findingCell,
  placeWords,
  termsWords,
  uncertaintyWords,
  valueWords,
} from '../../document/model/finding-words.js';
import type { ShowGround } from '../../document/model/ground.js';
import { figures, list, pictures, section, table, text } from '../../document/model/make-blocks.js';
import { numbered } from '../../document/model/wording.js';
import { type Finding, numberOf } from '../../record/finding.js';
import { formatQuantity } from '../../units/format.js';

/** Climbs: THD+N against power, maximum power at each limit, knee, and what all channels give together. */
export function showClimb(ground: ShowGround): readonly Section[] {
  const charts = climbCharts(ground);
  const settings = groupsBy(ground.findings, ({ setting }) => [
    setting.step,
    setting.load_ohm,
    setting.driven,
  ]);
  const titles = numbered(settings.map(([first]) => `${placeWords(first)}, ${termsWords(first!)}`));
  if (charts.length === 0 && settings.length === 0) return [];
  return [
    section('climbs', 'THD+N against power', [
      ...pictures(charts),
      ...settings.flatMap((found, i) => settingBlocks(found, titles[i]!)),
      ...pictures(spectrumCharts(ground), true),
    ]),
  ];
}

function settingBlocks(found: readonly Finding[], title: string): Block[] {
  const powers = found.filter(({ quantity }) => quantity === 'max-power' || quantity === 'knee-power');
  return [
    powerTable(found, title),
    text(`Powers: ${uncertaintyWords(powers)}.`, 'small'),
    ...found.filter(({ quantity }) => quantity === 'total-power').map(totalText),
    ...found.filter(({ quantity }) => quantity === 'exceeded-below').flatMap(exceededText),
    ...list(notesBelow(found)),
  ];
}

function powerTable(found: readonly Finding[], title: string): Block {
  const limits = thresholdsOf(found.filter(({ quantity }) => quantity === 'max-power'));
  const heads = limits.map((limit) => `Power at ${formatQuantity(limit, '%')}`);
  const rows = channelsOf(found).map((channel) => {
    const own = ofChannel(found, channel);
    return [
      String(channel),
      ...limits.map((threshold_percent) => findingCell(findingFor(own, 'max-power', { threshold_percent }))),
      findingCell(findingFor(own, 'knee-power')),
      plateauCell(findingFor(own, 'plateau-thdn')),
      findingCell(findingFor(own, 'clipping-interval')),
    ];
  });
  return table(title, figures('Channel', ...heads, 'Knee', 'Plateau', '0.1 to 1 % interval'), rows);
}

/** `0.0016 %, noise`: how low the flat part lies, and what governs it. */
function plateauCell(finding: Finding | undefined): TableCell {
  const cell = findingCell(finding);
  const by = finding?.terms.governed_by;
  return typeof cell === 'string' || by === undefined ? cell : { ...cell, text: `${cell.text}, ${by}` };
}

function totalText(finding: Finding): Block {
  const { threshold_percent = 0, deciding_channel } = finding.terms;
  const at = `${formatQuantity(threshold_percent, '%')} THD+N`;
  const first = deciding_channel === undefined ? '' : `, where channel ${deciding_channel} reaches it first`;
  return text(
    numberOf(finding) === null
      ? `All driven channels together: no power found at ${at}.`
      : `All driven channels together: ${valueWords(finding)} at ${at}${first}.`,
  );
}

function exceededText(finding: Finding): Block[] {
  const { setting, terms, value } = finding;
  if (!Array.isArray(value) || value.length === 0) return [];
  const limit = formatQuantity(terms.threshold_percent ?? 0, '%');
  const words = `Channel ${setting.channel}: THD+N exceeds ${limit} from ${valueWords(finding)}, below the maximum power.`;
  return [text(words, 'strong')];
}

import type { Block, Section, Table, TableCell } from '../../document/model/block.js';
import { climbCharts } from '../../document/model/charts/climb-chart.js';
import { spectrumCharts } from '../../document/model/charts/spectrum-chart.js';
import {
  channelsOf,
  findingFor,
  groupsBy,
  notesBelow,
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
import { numbered } from '../../document/model/numbered.js';
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
    {
      id: 'climbs',
      title: 'THD+N against power',
      blocks: [
        ...charts.map((chart): Block => ({ kind: 'chart', ...chart })),
        ...settings.flatMap((found, i) => settingBlocks(found, titles[i]!)),
        ...spectrumCharts(ground).map((chart): Block => ({ kind: 'chart', page_only: true, ...chart })),
      ],
    },
  ];
}

function settingBlocks(found: readonly Finding[], title: string): Block[] {
  const notes = notesBelow(found);
  const powers = found.filter(({ quantity }) => quantity === 'max-power' || quantity === 'knee-power');
  return [
    { kind: 'table', ...powerTable(found, title) },
    { kind: 'text', look: 'small', text: `Powers: ${uncertaintyWords(powers)}.` },
    ...found.filter(({ quantity }) => quantity === 'total-power').map(totalText),
    ...found.filter(({ quantity }) => quantity === 'exceeded-below').flatMap(exceededText),
    ...(notes.length > 0 ? [{ kind: 'list' as const, items: notes }] : []),
  ];
}

function powerTable(found: readonly Finding[], title: string): Table {
  const limits = thresholdsOf(found.filter(({ quantity }) => quantity === 'max-power'));
  return {
    title,
    columns: [
      { name: 'Channel', figures: true },
      ...limits.map((limit) => ({ name: `Power at ${formatQuantity(limit, '%')}`, figures: true })),
      { name: 'Knee', figures: true },
      { name: 'Plateau', figures: true },
      { name: '0.1 to 1 % interval', figures: true },
    ],
    rows: channelsOf(found).map((channel) => {
      const own = found.filter(({ setting }) => setting.channel === channel);
      return [
        String(channel),
        ...limits.map((threshold_percent) =>
          findingCell(findingFor(own, 'max-power', { threshold_percent })),
        ),
        findingCell(findingFor(own, 'knee-power')),
        plateauCell(findingFor(own, 'plateau-thdn')),
        findingCell(findingFor(own, 'clipping-interval')),
      ];
    }),
  };
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
  const text =
    numberOf(finding) === null
      ? `All driven channels together: no power found at ${at}.`
      : `All driven channels together: ${valueWords(finding)} at ${at}${first}.`;
  return { kind: 'text', text };
}

function exceededText(finding: Finding): Block[] {
  const { threshold_percent = 0 } = finding.terms;
  const limit = formatQuantity(threshold_percent, '%');
  return Array.isArray(finding.value) && finding.value.length > 0
    ? [
        {
          kind: 'text',
          look: 'strong',
          text: `Channel ${finding.setting.channel}: THD+N exceeds ${limit} from ${valueWords(finding)}, below the maximum power.`,
        },
      ]
    : [];
}

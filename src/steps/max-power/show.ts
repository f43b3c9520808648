import type { Block, Section, TableCell } from '../../document/model/block.js';
import {
  CONFIDENCE_WORDS,
  causeEvidence,
  causesInShort,
  causesOf,
} from '../../document/model/cause-words.js';
import { maxPowerCharts } from '../../document/model/charts/max-power-chart.js';
import { isDoubtful } from '../../document/model/doubtful.js';
import {
  channelsOf,
  findingFor,
  frequenciesOf,
  groupsBy,
  notesBelow,
  ofChannel,
} from '../../document/model/finding-groups.js';
import {
  findingCell,
  frequencyOf,
  NONE,
  placeWords,
  termsWords,
  uncertaintyWords,
  valueWords,
  whoseWords,
} from '../../document/model/finding-words.js';
import type { ShowGround } from '../../document/model/ground.js';
import { details, figures, list, pictures, section, table, text } from '../../document/model/make-blocks.js';
import { capital } from '../../document/model/wording.js';
import { type Finding, numberOf } from '../../record/finding.js';
import { formatQuantity } from '../../units/format.js';
import { frequencyWords } from '../../units/nominal-frequency.js';

/** With more channels than this a row gives the weakest and the strongest; all of them stand in folded tables. */
const FEW_CHANNELS = 4;

/** Searches for the maximum power across the band, with why it falls short. */
export function showMaxPower(ground: ShowGround): readonly Section[] {
  const { findings } = ground;
  const powers = findings.filter(({ quantity }) => quantity === 'max-power');
  const causes = findings.filter(({ quantity }) => quantity === 'cause');
  const settings = groupsBy(
    powers.filter((one) => !isOverBand(one)),
    ({ terms, setting: { load_ohm, driven, mains_V } }) => [
      terms.threshold_percent,
      load_ohm,
      driven,
      mains_V,
    ],
  );
  if (findings.length === 0) return [];
  const charts = maxPowerCharts(ground);
  // All settings in one picture are a tangle in characters.
  const crowded = charts.length > 1 ? charts.slice(0, 1) : [];
  return [
    section('max-power', 'Maximum power across the band', [
      ...pictures(crowded, true),
      ...pictures(charts.slice(crowded.length)),
      ...powers.filter(isOverBand).map(overBand),
      ...settings.flatMap((found) => settingBlocks(found, causes)),
      ...exceededBelow(findings.filter(({ quantity }) => quantity === 'exceeded-below')),
      ...causeBlocks(causes),
    ]),
  ];
}

/** One power for a whole band, rather than for a frequency. */
const isOverBand = ({ terms }: Finding): boolean => terms.over_Hz !== undefined;

function overBand(finding: Finding): Block {
  const limit = `${formatQuantity(finding.terms.threshold_percent ?? 0, '%')} THD+N`;
  const notes = notesBelow([finding]);
  const where = numberOf(finding) === null ? '' : ` (lowest at ${placeWords(finding)})`;
  const words = `Maximum power at ${limit}, ${termsWords(finding)}, ${whoseWords(finding)}: ${valueWords(finding)}${where}`;
  return text([words, ...notes].join('. '), 'strong');
}

function settingBlocks(found: readonly Finding[], causes: readonly Finding[]): Block[] {
  const channels = channelsOf(found);
  const { threshold_percent = 0 } = found[0]!.terms;
  const title = `Maximum power at ${formatQuantity(threshold_percent, '%')} THD+N: ${termsWords(found[0]!)}`;
  const notes = [
    ...notesBelow(found, true),
    ...(found.some(isDoubtful) ? ['* Carries a flag: see the table of flags'] : []),
  ];
  const few = channels.length <= FEW_CHANNELS;
  return [
    few ? channelTable(title, found, channels, causesBeside(found, causes)) : extremesTable(title, found),
    text(`Powers: ${uncertaintyWords(found)}.`, 'small'),
    ...list(notes),
    ...(few ? [] : [everyChannel(title, found, channels)]),
  ];
}

/** What was found to limit the power, by frequency; null where nothing was. */
function causesBeside(
  found: readonly Finding[],
  causes: readonly Finding[],
): ((at_Hz: number) => string) | null {
  const { load_ohm, driven } = found[0]!.setting;
  const own = causes.filter(
    ({ setting }) => setting.load_ohm === load_ohm && setting.driven.join() === driven.join(),
  );
  if (own.length === 0) return null;
  return (at_Hz) =>
    own
      .filter((cause) => frequencyOf(cause) === at_Hz)
      .map((cause) => `${cause.setting.channel}: ${causesInShort(causesOf(cause))}`)
      .join('\n');
}

function channelTable(
  title: string,
  found: readonly Finding[],
  channels: readonly number[],
  causes: ((at_Hz: number) => string) | null,
): Block {
  const columns = [
    ...figures('Frequency', ...channels.map((channel) => `Channel ${channel}`)),
    ...(causes ? ['Limited by'] : []),
  ];
  const rows = frequenciesOf(found).map((at_Hz): TableCell[] => {
    const here = found.filter((one) => frequencyOf(one) === at_Hz);
    return [
      { text: frequencyWords(at_Hz), exact: at_Hz },
      ...channels.map((channel) => powerCell(findingFor(ofChannel(here, channel), 'max-power'))),
      ...(causes ? [causes(at_Hz)] : []),
    ];
  });
  return table(title, columns, rows);
}

/** A star behind a figure that carries a flag: its words would make the table too wide. */
function powerCell(finding: Finding | undefined): TableCell {
  const cell = findingCell(finding);
  return finding && typeof cell !== 'string' && isDoubtful(finding)
    ? { ...cell, text: `${cell.text} *` }
    : cell;
}

function extremesTable(title: string, found: readonly Finding[]): Block {
  const rows = frequenciesOf(found).map((at_Hz): TableCell[] => {
    const here = found
      .filter((one) => frequencyOf(one) === at_Hz && numberOf(one) !== null)
      .sort((a, b) => numberOf(a)! - numberOf(b)!);
    const cells = [here[0], here.at(-1)].flatMap((one) => [
      powerCell(one),
      one ? String(one.setting.channel) : NONE,
    ]);
    return [{ text: frequencyWords(at_Hz), exact: at_Hz }, ...cells];
  });
  return table(title, figures('Frequency', 'Lowest', 'Channel', 'Highest', 'Channel'), rows);
}

function everyChannel(title: string, found: readonly Finding[], channels: readonly number[]): Block {
  const parts = Array.from({ length: Math.ceil(channels.length / FEW_CHANNELS) }, (_, i) =>
    channels.slice(i * FEW_CHANNELS, (i + 1) * FEW_CHANNELS),
  );
  return details(
    'Every channel',
    parts.map((part) => channelTable(`${title}, channels ${part[0]} to ${part.at(-1)}`, found, part, null)),
  );
}

function exceededBelow(exceeded: readonly Finding[]): Block[] {
  const told = exceeded.filter(({ value }) => Array.isArray(value) && value.length > 0);
  if (told.length === 0) return [];
  const columns = [...figures('Frequency', 'Channel', 'Limit'), 'From and to', 'Conditions'];
  const rows = told.map((one): TableCell[] => [
    placeWords(one),
    String(one.setting.channel),
    formatQuantity(one.terms.threshold_percent ?? 0, '%'),
    findingCell(one),
    termsWords(one),
  ]);
  return [table('Limit exceeded at lower power', columns, rows)];
}

function causeBlocks(causes: readonly Finding[]): Block[] {
  if (causes.length === 0) return [];
  const rows = causes.map((finding): TableCell[] => [
    `${placeWords(finding)}, ${termsWords(finding)}, ${whoseWords(finding)}`,
    causesInShort(causesOf(finding)),
    capital(causeEvidence(causesOf(finding)).join('; ')),
  ]);
  return [table('Why power falls short', ['At', 'Cause', 'Evidence'], rows), text(CONFIDENCE_WORDS, 'small')];
}

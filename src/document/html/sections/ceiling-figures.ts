import type { CeilingResult } from '../../../record/old-results.js';
import type { RunRecord } from '../../../record/run-record.js';
import { formatQuantity } from '../../../units/format.js';
import { figure } from '../../chart/figure.js';
import { type PlainLine, type PlainPoint, plainChart } from '../../chart/plain-chart.js';
import { HOLLOW, isDoubtful } from '../../chart/series.js';
import { causesInShort } from '../../model/cause-words.js';
import {
  type CeilingGroup,
  causesOf,
  ceilingGroups,
  ceilingSetting,
  hasPower,
  leastCeiling,
} from '../../model/ceiling-groups.js';
import { claimedPowers } from '../../model/claimed-powers.js';
import type { FigureGround } from '../../model/figure-ground.js';
import { drivenWords, powerWithin } from '../../model/wording.js';
import type { Markup } from '../markup.js';
import { typeset } from '../typeset.js';
import { type CeilingNote, ceilingNotes, notesBelow } from './ceiling-notes.js';

/** With more channels than this the weakest at each frequency stands for them, and the strongest beside it. */
const MOST_LINES = 4;
/** More settings than this are set side by side. */
const FEW_SETTINGS = 2;
/** More settings than this in one picture are a tangle: then only those with most channels driven. */
const MOST_COMPARED = 8;

/** Power ceilings across the band: all settings over each other where there are several, then each by itself. */
export function ceilingFigures(ground: FigureGround): Markup[] {
  const drawn = ceilingGroups(ground.record).filter((group) => leastCeiling(group) !== null);
  return [
    ...(drawn.length > 1 ? [settingsFigure(ground.record, drawn)] : []),
    ...drawn.map((group, i) => ceilingFigure(ground, group, `ceilings-${i + 1}`, drawn.length)),
  ];
}

interface Named extends PlainLine {
  readonly label: string;
}

const AXES = {
  across: { name: 'Frequency, Hz', scale: 'log' },
  up: { name: 'Power per channel, W', from: 'zero' },
} as const;

/** The weakest channel of every load and set of driven channels in one picture. */
function settingsFigure(record: RunRecord, groups: readonly CeilingGroup[]): Markup {
  const most = Math.max(...groups.map(({ driven }) => driven.length));
  const shown =
    groups.length > MOST_COMPARED ? groups.filter(({ driven }) => driven.length === most) : groups;
  const named = shown.slice(0, MOST_COMPARED);
  const common = commonWords(named);
  const lines = named.map(
    (group): Named => ({
      label: typeset(ownWords(group, common)),
      points: extremes(record, group, 'weakest'),
    }),
  );
  const least = named.map(
    (group) => `${formatQuantity(leastCeiling(group)!.power_W, 'W')} (${ownWords(group, common)})`,
  );
  const words = typeset(
    `The weakest channel at each frequency, setting by setting. Least over the band: ${least.join(', ')}.`,
  );
  return figure({
    id: 'ceilings-all',
    title: typeset(['Most power across the band, side by side', ...common].join(', ')),
    words,
    curves: lines.map(({ label }) => label),
    span: 'full',
    draw: (size) => plainChart({ id: 'ceilings-all', name: words, size, lines, ...AXES }),
  });
}

const partsOf = (group: CeilingGroup): string[] => [
  `${formatQuantity(group.threshold_percent, '%')} THD+N`,
  formatQuantity(group.load_ohm, 'ohm'),
  drivenWords(group.driven),
  ...(group.mains_V === null
    ? []
    : [`${formatQuantity(group.mains_V, 'V', { figures: 3, trim: true })} mains`]),
];

/** What all settings share belongs into the title and not into every name. */
const commonWords = (groups: readonly CeilingGroup[]): string[] =>
  partsOf(groups[0]!).filter((part) => groups.every((group) => partsOf(group).includes(part)));

const ownWords = (group: CeilingGroup, common: readonly string[]): string =>
  partsOf(group)
    .filter((part) => !common.includes(part))
    .join(', ');

function ceilingFigure(ground: FigureGround, group: CeilingGroup, id: string, settings: number): Markup {
  const { record, judged } = ground;
  const lines = linesOf(record, group).filter(({ points }) => points.length > 0);
  const notes = ceilingNotes(record, group);
  const { load_ohm, driven, threshold_percent } = group;
  const claims = claimedPowers(record, judged, {
    load_ohm,
    driven,
    limit_percent: threshold_percent,
    frequency_Hz: null,
  });
  const words = typeset(captionOf(group, notes));
  return figure({
    id,
    title: typeset(`Most power across the band: ${ceilingSetting(group)}`),
    words,
    curves: lines.map(({ label }) => label),
    // Notes are read across the page.
    span: settings > FEW_SETTINGS && notes.length === 0 ? 'half' : 'full',
    notes: notesBelow(notes),
    draw: (size) =>
      plainChart({
        id,
        name: words,
        size,
        lines,
        ...AXES,
        levels: claims.map(({ power_W, words: name }) => ({ y: power_W, words: name })),
        over: notes.map(({ x, y, number, words: hint }) => ({ x, y, text: String(number), hint })),
      }),
  });
}

function captionOf(group: CeilingGroup, notes: readonly CeilingNote[]): string {
  const found = [...group.channels.values()].flat().filter(hasPower);
  const least = leastCeiling(group)!;
  const most = found.reduce((a, b) => (b.power_W > a.power_W ? b : a));
  const at = (one: typeof least) =>
    `${formatQuantity(one.power_W, 'W')} at ${formatQuantity(one.frequency_Hz, 'Hz', { figures: 3 })} on channel ${one.channel}`;
  const bars = found.some(({ uncertainty_W }) => uncertainty_W !== null)
    ? ' Bars: expanded uncertainty, where wider than the marker.'
    : '';
  const marks = notes.length > 0 ? ' Numbers: see the notes below.' : '';
  const hollow = found.some(isDoubtful) ? ` ${HOLLOW}` : '';
  return `Least ${at(least)}, most ${at(most)}. Each point is the highest power that keeps the threshold there.${bars}${hollow}${marks}`;
}

function linesOf(record: RunRecord, group: CeilingGroup): Named[] {
  const channels = [...group.channels];
  return channels.length <= MOST_LINES
    ? channels.map(([channel, results]) => ({
        label: `channel ${channel}`,
        points: results.filter(hasPower).map((result) => pointOf(record, group, result)),
      }))
    : [
        { label: 'weakest channel', points: extremes(record, group, 'weakest') },
        { label: 'strongest channel', points: extremes(record, group, 'strongest') },
      ];
}

function extremes(record: RunRecord, group: CeilingGroup, which: 'weakest' | 'strongest'): PlainPoint[] {
  const all = [...group.channels.values()].flat().filter(hasPower);
  return group.nominals_Hz.flatMap((nominal_Hz) => {
    const here = all.filter((one) => one.nominal_Hz === nominal_Hz).sort((a, b) => a.power_W - b.power_W);
    const one = which === 'weakest' ? here[0] : here.at(-1);
    return one ? [pointOf(record, group, one)] : [];
  });
}

function pointOf(
  record: RunRecord,
  group: CeilingGroup,
  result: CeilingResult & { power_W: number },
): PlainPoint {
  const { channel, frequency_Hz, power_W, uncertainty_W, nominal_Hz, flags } = result;
  const causes = causesOf(record, group, nominal_Hz, channel).map(causesInShort);
  const place = `channel ${channel}: ${formatQuantity(frequency_Hz, 'Hz')}, ${powerWithin(power_W, uncertainty_W)}`;
  return {
    x: frequency_Hz,
    y: power_W,
    hint: [typeset(place), ...causes, ...flags].join('; '),
    doubtful: isDoubtful(result),
    within: uncertainty_W,
  };
}

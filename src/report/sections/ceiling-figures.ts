import type { CeilingResult, RunRecord } from '../../record/run-record.js';
import { formatQuantity } from '../../units/format.js';
import { causesInShort } from '../cause-words.js';
import {
  type CeilingGroup,
  causesOf,
  ceilingGroups,
  ceilingSetting,
  hasPower,
  leastCeiling,
} from '../ceiling-groups.js';
import { figure } from '../chart/figure.js';
import { type PlainLine, plainChart } from '../chart/plain-chart.js';
import { isDoubtful } from '../chart/series.js';
import { html, type Markup } from '../markup.js';
import { typeset } from '../typeset.js';

/** With more channels than this the weakest at each frequency stands for them, and the strongest beside it. */
const MOST_LINES = 4;
/** More settings than this are set side by side. */
const FEW_SETTINGS = 2;

/** Power ceilings across the band: one picture a setting, that of several runs overlaid. */
export function ceilingFigures(records: readonly RunRecord[]): Markup[] {
  const bySetting = new Map<string, { record: RunRecord; group: CeilingGroup }[]>();
  for (const record of records)
    for (const group of ceilingGroups(record)) {
      const key = ceilingSetting(group);
      bySetting.set(key, [...(bySetting.get(key) ?? []), { record, group }]);
    }
  const span = bySetting.size > FEW_SETTINGS ? 'half' : 'full';
  return [...bySetting].map(([setting, all], i) => ceilingFigure(`ceilings-${i + 1}`, setting, all, span));
}

interface Named extends PlainLine {
  readonly label: string;
}

function ceilingFigure(
  id: string,
  setting: string,
  all: readonly { record: RunRecord; group: CeilingGroup }[],
  span: 'half' | 'full',
): Markup {
  const lines = all.flatMap(({ record, group }) => linesOf(record, group, all.length > 1));
  const drawn = lines.filter(({ points }) => points.length > 0);
  if (drawn.length === 0) return html``;
  const words = typeset(all.map(({ group }) => placeWords(group)).join(' '));
  return figure({
    id,
    title: typeset(`Most power across the band: ${setting}`),
    words,
    curves: drawn.map(({ label }) => label),
    span,
    draw: (size) =>
      plainChart({
        id,
        name: words,
        size,
        lines: drawn,
        across: { name: 'Frequency, Hz', scale: 'log' },
        up: { name: 'Power per channel, W', from: 'zero' },
      }),
  });
}

function placeWords(group: CeilingGroup): string {
  const found = [...group.channels.values()].flat().filter(hasPower);
  const [least, most] = [leastCeiling(group), found.toSorted((a, b) => b.power_W - a.power_W)[0]];
  if (!least || !most) return 'No channel has a ceiling.';
  const at = (one: typeof least) =>
    `${formatQuantity(one.power_W, 'W')} at ${formatQuantity(one.frequency_Hz, 'Hz', { figures: 3 })} on channel ${one.channel}`;
  return `Least ${at(least)}, most ${at(most)}. Each point is the highest power that keeps the threshold there.`;
}

function linesOf(record: RunRecord, group: CeilingGroup, several: boolean): Named[] {
  const run = several ? `run ${record.run}, ` : '';
  const channels = [...group.channels];
  if (channels.length <= MOST_LINES)
    return channels.map(([channel, results]) => ({
      label: `${run}channel ${channel}`,
      points: results.filter(hasPower).map((result) => pointOf(record, group, result)),
    }));
  const at = (pick: (found: (CeilingResult & { power_W: number })[]) => CeilingResult | undefined) =>
    group.nominals_Hz.flatMap((nominal_Hz) => {
      const here = channels.flatMap(([, results]) => results.filter((one) => one.nominal_Hz === nominal_Hz));
      const one = pick(here.filter(hasPower).sort((a, b) => a.power_W - b.power_W));
      return one && hasPower(one) ? [pointOf(record, group, one)] : [];
    });
  return [
    { label: `${run}weakest channel`, points: at((found) => found[0]) },
    { label: `${run}strongest channel`, points: at((found) => found.at(-1)) },
  ];
}

function pointOf(record: RunRecord, group: CeilingGroup, result: CeilingResult & { power_W: number }) {
  const causes = causesOf(record, group, result.nominal_Hz, result.channel).map(causesInShort);
  const place = `channel ${result.channel}: ${formatQuantity(result.frequency_Hz, 'Hz')}, ${formatQuantity(result.power_W, 'W')}`;
  return {
    x: result.frequency_Hz,
    y: result.power_W,
    hint: [place, ...causes, ...result.flags].join('; '),
    doubtful: isDoubtful(result),
  };
}

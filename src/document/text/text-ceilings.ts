import type { RunRecord } from '../../record/run-record.js';
import { formatQuantity } from '../../units/format.js';
import { causesInShort } from '../model/cause-words.js';
import {
  type CeilingGroup,
  causesOf,
  ceilingGroups,
  ceilingSetting,
  hasPower,
  withoutCeiling,
} from '../model/ceiling-groups.js';
import { channelWords, powerWithin, uncertaintyWords } from '../model/wording.js';
import { ceilingPlot, claimMark } from './text-plot.js';
import { textTable } from './text-table.js';
import { oneLine } from './visible-text.js';
import { wrapText } from './wrap-text.js';

/** With more channels than this a row gives the weakest and the strongest only. */
const MOST_CHANNELS = 3;

/** A picture of fewer frequencies says no more than the table. */
const FEWEST_DRAWN = 4;

/**
 * The power ceilings of a run for a terminal, one paragraph a setting: every frequency, every channel or the
 * weakest, as a table and as a small plot.
 *
 * @param claimed_W what is claimed into a load, per channel; null when nothing is
 */
export function ceilingTexts(
  record: RunRecord,
  width: number,
  bold: (text: string) => string,
  claimed_W: (load_ohm: number) => number | null = () => null,
): string[] {
  return ceilingGroups(record).map((group) => {
    const rows = rowsOf(record, group);
    const asFound = [...group.channels.values()].flat().filter(hasPower);
    const table = textTable(
      headOf(group, hasCauses(rows)),
      hasCauses(rows) ? rows : rows.map((row) => row.slice(0, -1)),
      figuresOf(group),
      width,
    );
    return [
      bold(wrapText(`Most power across the band: ${ceilingSetting(group)}`, width)),
      table,
      ...(asFound.length > 0 ? [`Power: ${uncertaintyWords(asFound)}.`] : []),
      ...noneNotes(group).map((note) => wrapText(oneLine(note, 400), width, '  ')),
      ...(group.nominals_Hz.length < FEWEST_DRAWN ? [] : plotted(group, width, claimed_W(group.load_ohm))),
    ].join('\n');
  });
}

function plotted(group: CeilingGroup, width: number, claim_W: number | null): string[] {
  const plot = ceilingPlot(group, width, claim_W);
  return plot === '' ? [] : ['', `Power against frequency${claimMark(claim_W)}`, plot];
}

const hasCauses = (rows: readonly (readonly string[])[]): boolean => rows.some((row) => row.at(-1) !== '');

function headOf({ channels }: CeilingGroup, withCauses: boolean): string[] {
  const names =
    channels.size > MOST_CHANNELS
      ? ['least', 'channel', 'most', 'channel']
      : [...channels.keys()].map((channel) => `channel ${channel}`);
  return ['at', ...names, ...(withCauses ? ['falls short by'] : [])];
}

function figuresOf({ channels }: CeilingGroup): number[] {
  const columns = channels.size > MOST_CHANNELS ? 4 : channels.size;
  return Array.from({ length: columns + 1 }, (_, i) => i);
}

function rowsOf(record: RunRecord, group: CeilingGroup): string[][] {
  return group.nominals_Hz.map((nominal_Hz) => {
    const here = [...group.channels.values()].map((results) =>
      results.find((result) => result.nominal_Hz === nominal_Hz),
    );
    const causes = causesOf(record, group, nominal_Hz).map((result) =>
      group.channels.size === 1 ? causesInShort(result) : `${result.channel}: ${causesInShort(result)}`,
    );
    const cells =
      group.channels.size > MOST_CHANNELS
        ? extremes(here.filter((result) => result !== undefined))
        : here.map((result) =>
            result && hasPower(result) ? powerWithin(result.power_W, result.uncertainty_W) : '–',
          );
    return [formatQuantity(nominal_Hz, 'Hz', { figures: 3, trim: true }), ...cells, causes.join('; ')];
  });
}

function extremes(here: readonly Parameters<typeof hasPower>[0][]): string[] {
  const found = here.filter(hasPower).sort((a, b) => a.power_W - b.power_W);
  const [least, most] = [found[0], found.at(-1)];
  if (!least || !most) return ['–', '', '–', ''];
  return [
    powerWithin(least.power_W, least.uncertainty_W),
    String(least.channel),
    powerWithin(most.power_W, most.uncertainty_W),
    String(most.channel),
  ];
}

/** Why there is no ceiling where there is none: `15 kHz and 20 kHz, channels 1 and 2: THD+N stayed below …`. */
export function noneNotes(group: CeilingGroup): string[] {
  const none = withoutCeiling(group);
  return [...new Set(none.map(({ note }) => note))].map((note) => {
    const own = none.filter((result) => result.note === note);
    const at = [...new Set(own.map(({ nominal_Hz }) => nominal_Hz))].map((nominal_Hz) =>
      formatQuantity(nominal_Hz, 'Hz', { figures: 3, trim: true }),
    );
    const channels = [...new Set(own.map(({ channel }) => channel))].sort((a, b) => a - b);
    return `${at.join(', ')}, ${channelWords(channels)}: ${note}`;
  });
}

import { numberOf } from '../../record/finding.js';
import { quantityNamed } from '../../record/quantities.js';
import { groupBy } from '../../units/group-by.js';
import { frequencyWords } from '../../units/nominal-frequency.js';
import { oneLine } from '../../units/visible-text.js';
import type { Block, Section, TableCell } from '../model/block.js';
import { frequencyOf, NONE } from '../model/finding-words.js';
import { details, figures, list, section, table, text } from '../model/make-blocks.js';
import { noteWords } from '../model/reason-words.js';
import { drivenWords } from '../model/wording.js';
import type { ComparedFigure, Comparison } from './comparison.js';
import type { Difference } from './difference.js';
import {
  changeWords,
  concludedWords,
  decibelWords,
  figureName,
  figureWords,
  settingName,
  UNLIKE,
  whereFound,
} from './difference-words.js';
import type { RunFigure } from './figures-of-run.js';

const EXPLAINED =
  'Difference: a run minus the first run of its row, ± U for 95.45 %. Errors that both runs share, such as the calibration of one bench, cancel. Equal: the difference is within U; higher: it is larger. U does not include how much a unit changes from run to run.';

/** With more channels than this the weakest stands for all, which are folded away. */
const FEW_CHANNELS = 2;

/** All differences, setting by setting; what only one run has is named below. */
export function differenceSection({ runs, compared, alone }: Comparison): Section {
  const title = `Differences to run ${runs[0]!.record.run}`;
  const several = runs.length > 2;
  const singles = compared.filter(({ figures }) => figures[0]!.single);
  const rest = compared.filter(({ figures }) => !figures[0]!.single);
  return section('differences', title, [
    compared.length === 0
      ? text('The runs share no figure: there is nothing to subtract.')
      : text(EXPLAINED, 'small'),
    ...grouped(rest, settingName).flatMap((rows) => settingBlocks(rows, several)),
    ...grouped(singles, bandKey).flatMap((rows) => frequencyBlocks(rows, several)),
    ...aloneBlocks(alone),
  ]);
}

/** Rows that share what they are named by, in the order of the first run. */
const grouped = (rows: readonly ComparedFigure[], key: (figure: RunFigure) => string): ComparedFigure[][] => [
  ...groupBy(rows, ({ figures }) => key(figures[0]!)).values(),
];

/** Figures at single frequencies stand together by channel. */
const bandKey = ({ what, load_ohm, driven, mains_V, channel }: RunFigure): string =>
  JSON.stringify([what, load_ohm, driven, mains_V, channel]);

function settingBlocks(rows: readonly ComparedFigure[], several: boolean): Block[] {
  const title = oneLine(settingName(rows[0]!.figures[0]!), 200);
  const shown = weakestOf(rows);
  const all = `All channels: ${title}`;
  return [
    differenceTable(title, shown, several, nameCell),
    ...list(remarksOn(rows)),
    ...(shown.length === rows.length
      ? []
      : [
          text('Above: the channel that is worst in the first run.', 'small'),
          details(all, [differenceTable(all, rows, several, nameCell)]),
        ]),
  ];
}

/** All rows, or with many channels those of the channel that is worst in the first run, figure by figure. */
function weakestOf(rows: readonly ComparedFigure[]): readonly ComparedFigure[] {
  const channels = new Set(rows.map(({ figures }) => figures[0]!.channel).filter((channel) => channel > 0));
  if (channels.size <= FEW_CHANNELS) return rows;
  const worst = new Map<string, ComparedFigure>();
  for (const row of rows) {
    const { what, channel } = row.figures[0]!;
    const key = channel === 0 ? `all ${what}` : what;
    const sofar = worst.get(key);
    if (sofar === undefined || badness(row) > badness(sofar)) worst.set(key, row);
  }
  return [...worst.values()];
}

/** The higher, the worse; a run that found none is worst. */
function badness({ figures }: ComparedFigure): number {
  const { finding, value } = figures[0]!;
  if (value === null) return Number.POSITIVE_INFINITY;
  return quantityNamed(finding.quantity)?.better === 'less' ? value : -value;
}

const nameCell = ({ figures }: ComparedFigure): TableCell =>
  [figureName(figures[0]!), whereFound(figures)].filter((text) => text !== '').join(', ');

/** A row a figure and later run; with two runs each has a column of its own. */
function differenceTable(
  title: string,
  rows: readonly ComparedFigure[],
  several: boolean,
  name: (row: ComparedFigure) => TableCell,
): Block {
  const [first, second] = rows[0]!.figures;
  const values = several
    ? ['Runs', ...figures('First', 'Later')]
    : figures(`Run ${first!.run}`, `Run ${second!.run}`);
  const cells = rows.flatMap((row) =>
    row.figures
      .slice(1)
      .map((figure, i) => [
        name(row),
        ...(several ? [`${row.figures[0]!.run}, ${figure.run}`] : []),
        valueCell(row.figures[0]!),
        valueCell(figure),
        ...changeCells(row.differences[i]!, figure),
        concludedWords(row.differences[i]!),
      ]),
  );
  return table(title, ['Figure', ...values, ...figures('Difference', 'Ratio'), 'Result'], cells);
}

const valueCell = (figure: RunFigure): TableCell =>
  figure.value === null ? figureWords(figure) : { text: figureWords(figure), exact: figure.value };

function changeCells(difference: Difference | null, figure: RunFigure): TableCell[] {
  if (difference === null) return [NONE, NONE];
  const { difference: change, difference_dB } = difference;
  return [
    { text: changeWords(difference, figure), exact: change },
    difference_dB === null ? NONE : { text: decibelWords(difference), exact: difference_dB },
  ];
}

/** In what the rows of one setting are unlike each other, and why a run found none: each once. */
function remarksOn(rows: readonly ComparedFigure[]): string[] {
  const unlike = rows.flatMap(({ differences }) =>
    differences.flatMap((one) =>
      one && one.unlike.length > 0 ? [`${UNLIKE} run ${one.run}: ${one.unlike.join('; ')}`] : [],
    ),
  );
  const none = rows.flatMap(({ figures }) =>
    figures.flatMap((figure) => {
      const { why } = figure.finding;
      return why === null || numberOf(figure.finding) !== null
        ? []
        : [`${figureName(figure)}, run ${figure.run}: ${noteWords(why)}`];
    }),
  );
  return [...new Set([...unlike, ...none])];
}

/** Every frequency of a channel: in short, and folded away in full. */
function frequencyBlocks(rows: readonly ComparedFigure[], several: boolean): Block[] {
  const byFrequency = rows.toSorted((a, b) => a.figures[0]!.band_Hz[0] - b.figures[0]!.band_Hz[0]);
  const first = rows[0]!.figures[0]!;
  const title = `${figureName(first)}, ${first.load_ohm} ohm, ${drivenWords(first.driven)}: frequency by frequency`;
  const at = ({ figures }: ComparedFigure): TableCell =>
    frequencyWords(frequencyOf(figures[0]!.finding) ?? 0);
  const runs = [...new Set(rows.flatMap(({ figures }) => figures.slice(1).map(({ run }) => run)))];
  return [
    ...runs.map((run) => text(inShort(byFrequency, run, figureName(first)))),
    details(title, [differenceTable(title, byFrequency, several, at)]),
  ];
}

/** At how many frequencies two runs differ beyond uncertainty, and where most. */
function inShort(rows: readonly ComparedFigure[], run: number, name: string): string {
  const found = rows.flatMap(({ figures, differences }) =>
    differences.flatMap((one) => (one?.run === run ? [{ one, at_Hz: figures[0]!.band_Hz[0] }] : [])),
  );
  if (found.length === 0) return `${name}: run ${run} has none where another run has one.`;
  const count = (finding: Difference['finding']) => found.filter(({ one }) => one.finding === finding).length;
  const size = ({ one }: { readonly one: Difference }) => Math.abs(one.difference_dB ?? one.difference);
  const most = found.reduce((a, b) => (size(b) > size(a) ? b : a));
  const { to } = found[0]!.one;
  const told = [
    [count('alike'), 'equal within U'],
    [count('more'), `with run ${run} higher`],
    [count('less'), `with run ${to} higher`],
    [count('not told'), 'without an uncertainty'],
  ] as const;
  const parts = told.flatMap(([number, words]) => (number > 0 ? [`${number} ${words}`] : []));
  return `${name}: of ${found.length} frequencies ${parts.join(', ')}. Largest difference at ${frequencyWords(most.at_Hz)}: run ${run} ${decibelWords(most.one)} to run ${to}.`;
}

/** Settings of figures that no other run has, a line a run and setting. */
function aloneBlocks(alone: readonly RunFigure[]): Block[] {
  const settings = new Map<string, Set<string>>();
  for (const figure of alone) {
    if (figure.single) continue;
    const key = `run ${figure.run}: ${oneLine(settingName(figure), 200)}`;
    settings.set(key, (settings.get(key) ?? new Set()).add(figureName(figure)));
  }
  const single = new Map<number, number>();
  for (const figure of alone) if (figure.single) single.set(figure.run, (single.get(figure.run) ?? 0) + 1);
  const items = [
    ...[...settings].map(([key, names]) => `${key}: ${[...names].join('; ')}`),
    ...[...single].map(([run, count]) => `run ${run}: ${count} figures at single frequencies`),
  ];
  return items.length === 0 ? [] : [text('Found in one run only:', 'strong'), ...list(items)];
}

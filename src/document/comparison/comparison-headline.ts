import { formatQuantity } from '../../units/format.js';
import type { ComparedFigure, Comparison } from './comparison.js';
import type { Difference } from './difference.js';
import { changeWords, conditionsName, decibelWords, figureName } from './difference-words.js';
import type { FigureKind } from './run-figure.js';

/** What tells two units apart best, in this order. */
const TELLING: readonly FigureKind[] = ['least-ceiling', 'power-at-thdn', 'sum', 'band-power', 'knee'];

/** More sentences than this at the head of a page are a table, which it has below. */
const MOST_SENTENCES = 3;

/** What the comparison comes to, a sentence for each later run as far as they are few. */
export function comparisonHeadline({ runs, compared }: Comparison): string[] {
  const later = runs.slice(1);
  const told = later.slice(0, MOST_SENTENCES).map(({ record }) => sentence(compared, record.run));
  const more = later.length - told.length;
  return more === 0 ? told : [...told, `${more} more ${more === 1 ? 'run' : 'runs'} below.`];
}

interface Found {
  readonly row: ComparedFigure;
  readonly one: Difference;
}

function sentence(compared: readonly ComparedFigure[], run: number): string {
  const all = compared.flatMap((row) =>
    row.differences.flatMap((one) => (one?.run === run ? [{ row, one }] : [])),
  );
  const like = all.filter(({ one }) => one.unlike.length === 0);
  const chosen = tellingOf(like) ?? tellingOf(all);
  if (chosen === null) return `Run ${run} has no power that another run has too.`;
  const { row, one } = chosen;
  const first = row.figures[0]!;
  const place = `${lowered(figureName(first))}, ${conditionsName(first)}`;
  const channel = first.channel === 0 ? '' : `, channel ${first.channel}`;
  const unlike = one.unlike.length > 0 ? ` The settings are unlike: ${one.unlike.join('; ')}.` : '';
  return `${findingSentence(one, row)} (${place}${channel}).${unlike}`;
}

/** The row that the first run is weakest in, of the most telling kind there is, at the lowest threshold. */
function tellingOf(found: readonly Found[]): Found | null {
  for (const kind of TELLING) {
    const rows = found.filter(({ row }) => row.figures[0]!.kind === kind);
    if (rows.length > 0) return rows.reduce((a, b) => (isMoreTelling(b.row, a.row) ? b : a));
  }
  return null;
}

function isMoreTelling(a: ComparedFigure, b: ComparedFigure): boolean {
  const [one, other] = [a.figures[0]!, b.figures[0]!];
  const thresholds = (one.threshold_percent ?? 0) - (other.threshold_percent ?? 0);
  return thresholds === 0 ? one.value! < other.value! : thresholds < 0;
}

function findingSentence(one: Difference, { figures }: ComparedFigure): string {
  const { run, to, finding, difference } = one;
  const figure = figures.find((each) => each.run === run)!;
  const amount = `${changeWords(one, figure)}, ${decibelWords(one)} dB`;
  const powers = [to, run].map((each) =>
    formatQuantity(figures.find((candidate) => candidate.run === each)!.value!, 'W'),
  );
  switch (finding) {
    case 'alike':
      return `Run ${run} and run ${to} are alike within uncertainty: ${powers[1]} and ${powers[0]}, a difference of ${amount}`;
    case 'not told':
      return `Run ${run} reads ${powers[1]} and run ${to} ${powers[0]}, and without a stated uncertainty nothing more can be told`;
    default:
      return `Run ${run} gives ${difference > 0 ? 'more' : 'less'} than run ${to}: ${powers[1]} against ${powers[0]}, a difference of ${amount}`;
  }
}

const lowered = (text: string): string => text.charAt(0).toLowerCase() + text.slice(1);

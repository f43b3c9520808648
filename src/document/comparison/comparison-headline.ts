import { quantityNamed } from '../../record/quantities.js';
import type { ComparedFigure, Comparison } from './comparison.js';
import type { Difference } from './difference.js';
import { changeWords, decibelWords, figureName, figureWords, settingName } from './difference-words.js';

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
  const unlike = one.unlike.length > 0 ? ` The settings differ: ${one.unlike.join('; ')}.` : '';
  return `${differenceSentence(one, row)}. ${figureName(first)}, ${settingName(first)}.${unlike}`;
}

/** What tells two units apart best: a power over the band, one at a limit, any other. Null without a power. */
const rankOf = ({ figures }: ComparedFigure): number | null => {
  const { finding, threshold_percent, unit } = figures[0]!;
  if (unit !== 'W') return null;
  if (quantityNamed(finding.quantity)?.rates !== true) return 3;
  if (threshold_percent === null) return 2;
  return finding.terms.over_Hz === undefined ? 1 : 0;
};

/** The most telling row there is, at the strictest limit, in which the first run is weakest. */
function tellingOf(found: readonly Found[]): Found | null {
  const ranked = found.flatMap(({ row, one }) => {
    const rank = rankOf(row);
    const { threshold_percent, value } = row.figures[0]!;
    return rank === null ? [] : [{ row, one, order: [rank, threshold_percent ?? 0, value ?? 0] }];
  });
  ranked.sort((a, b) => a.order.map((part, i) => part - b.order[i]!).find((part) => part !== 0) ?? 0);
  return ranked[0] ?? null;
}

function differenceSentence(one: Difference, { figures }: ComparedFigure): string {
  const { run, to, finding, difference } = one;
  const figure = figures.find((each) => each.run === run)!;
  const amount = `(${changeWords(one, figure)}, ${decibelWords(one)})`;
  const [here, there] = [figureWords(figure), figureWords(figures[0]!)];
  switch (finding) {
    case 'alike':
      return `Run ${run} and run ${to} are equal within uncertainty: ${here} and ${there} ${amount}`;
    case 'not told':
      return `Run ${run} reads ${here} and run ${to} ${there}; no uncertainty is stated, so the difference may be chance`;
    case 'more':
    case 'less':
      return `Run ${run} gives ${difference > 0 ? 'more' : 'less'} than run ${to}: ${here} against ${there} ${amount}`;
  }
}

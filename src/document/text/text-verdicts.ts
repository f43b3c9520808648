import picocolors from 'picocolors';
import { DECISION_RULE } from '../../judgement/guard-band.js';
import type { JudgedClaim, JudgedRun } from '../../judgement/judged-run.js';
import { formatQuantity } from '../../units/format.js';
import { placeWords, ratedWords, ratingNotes, ratingRows } from '../model/rating-rows.js';
import { verdictRows } from '../model/verdict-rows.js';
import type { TextOptions } from './text-summary.js';
import { textTable } from './text-table.js';
import { oneLine } from './visible-text.js';
import { wrapText } from './wrap-text.js';

/** Longest sentence from a run that a terminal is given. */
const LONGEST = 600;

/** Room that names and indents take. */
const MARGIN = 20;

/** Text from a run as one line in which no word is too long for the terminal. */
const fitting = (text: string, width: number): string =>
  oneLine(text, LONGEST).replace(new RegExp(`\\S{${width - MARGIN}}`, 'gu'), '$& ');

/** The verdicts on the claims of a run, each with what it rests on; one paragraph a claim. */
export function verdictsText(judged: JudgedRun, given: string | null, options: TextOptions): string[] {
  const unreadable =
    judged.unreadable === null
      ? []
      : [
          wrapText(
            `Claim '${fitting(oneLine(given ?? '', 120), options.width)}' of the run cannot be read: ${fitting(judged.unreadable, options.width)}`,
            options.width,
          ),
        ];
  const rule = judged.claims.some(({ verdict }) => verdict.deciding !== null)
    ? [wrapText(`${DECISION_RULE}.`, options.width)]
    : [];
  return [...judged.claims.map((claim) => verdictText(claim, options)), ...rule, ...unreadable];
}

function verdictText(claim: JudgedClaim, { width, colour }: TextOptions): string {
  const { bold } = picocolors.createColors(colour);
  const lines = verdictRows(claim).flatMap(([name, sentences]) =>
    sentences.map((sentence, i) =>
      wrapText(
        `  ${i === 0 ? name.padEnd(NAME_WIDTH) : ' '.repeat(NAME_WIDTH)}${fitting(sentence, width)}`,
        width,
        ' '.repeat(NAME_WIDTH + 2),
      ),
    ),
  );
  const [word, ...rest] = wrapText(fitting(claim.verdict.reason, width), width).split('\n');
  return [
    bold(wrapText(`Claim: ${fitting(claim.text, width)}`, width, '  ')),
    [bold(word!), ...rest].join('\n'),
    ...lines,
  ].join('\n');
}

/** Of the names that stand before the sentences of a verdict. */
const NAME_WIDTH = 13;

/** The power that a run gives by itself, at each limit into each load; empty when it gives none. */
export function ratingsText({ ratings }: JudgedRun, { width, colour }: TextOptions): string {
  const { bold } = picocolors.createColors(colour);
  const rows = ratingRows(ratings);
  if (rows.length === 0) return '';
  const head = ['into', 'THD+N', '20 Hz to 20 kHz', 'decided at', '1 kHz', 'rating'];
  const cells = rows.map(({ setting, limit, band, at_1kHz, conservative_W }) => [
    setting,
    limit,
    ratedWords(band),
    placeWords(band),
    ratedWords(at_1kHz),
    conservative_W === null ? '–' : formatQuantity(conservative_W, 'W'),
  ]);
  return [
    bold('Power kept, the weakest channel'),
    textTable(head, cells, [], width),
    ...ratingNotes(ratings).map((note) => wrapText(`- ${fitting(note, width)}`, width, '  ')),
    wrapText(RATING_WORDS, width),
  ].join('\n');
}

/** What the last column of the ratings means. */
export const RATING_WORDS =
  'Rating: the highest preferred number (R20) met with its guard band by every channel at every frequency.';

/** The conditions of the trade rule beside the run's; empty where no claim was given. */
export function protocolText({ protocol }: JudgedRun, { width, colour }: TextOptions): string {
  if (protocol === null) return '';
  const { bold } = picocolors.createColors(colour);
  const lines = protocol.conditions.map(({ condition, required, found, state }) =>
    wrapText(
      `  ${state.padEnd(14)}${condition}: ${fitting(found, width)}${state === 'met' ? '' : ` (asked for: ${required})`}`,
      width,
      ' '.repeat(16),
    ),
  );
  return [bold(wrapText(protocol.rule, width)), ...lines, wrapText(protocol.statement, width)].join('\n');
}

import type { JudgedRun } from '../../judgement/judged-run.js';
import type { RatedPower } from '../../judgement/rating/rating.js';
import { formatQuantity } from '../../units/format.js';
import type { Section, TableCell } from './block.js';
import { capital } from './capital.js';
import { limitedAtWords, ratedWords, ratingNotes, ratingRows } from './rating-rows.js';

/** What the last column of the ratings means. */
const RATING_WORDS =
  'Rating: the highest preferred number (R20) that every channel meets with its guard band at every frequency from 20 Hz to 20 kHz.';

/** The power that a run gives by itself, at each limit into each load; nothing when it gives none. */
export function ratingSection({ ratings }: JudgedRun): Section[] {
  const rows = ratingRows(ratings).map(({ setting, limit, band, at_1kHz, conservative_W }): TableCell[] => [
    setting,
    limit,
    ratedCell(band),
    limitedAtWords(band),
    ratedCell(at_1kHz),
    conservative_W === null
      ? '–'
      : { text: formatQuantity(conservative_W, 'W', { trim: true }), exact: conservative_W },
  ]);
  if (rows.length === 0) return [];
  const notes = ratingNotes(ratings).map(capital);
  return [
    {
      id: 'ratings',
      title: 'Ratings',
      blocks: [
        {
          kind: 'table',
          title: 'Maximum power, weakest channel',
          columns: [
            { name: 'Load' },
            { name: 'THD+N', figures: true },
            { name: '20 Hz to 20 kHz', figures: true },
            { name: 'Limited at' },
            { name: '1 kHz', figures: true },
            { name: 'Rating', figures: true },
          ],
          rows,
        },
        ...(notes.length > 0 ? [{ kind: 'list' as const, items: notes }] : []),
        { kind: 'text', look: 'small', text: RATING_WORDS },
      ],
    },
  ];
}

const ratedCell = (rated: RatedPower | null): TableCell =>
  rated === null ? '–' : { text: ratedWords(rated), exact: rated.power_W };

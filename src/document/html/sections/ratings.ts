import type { JudgedRun } from '../../../judgement/judged-run.js';
import type { RatedPower } from '../../../judgement/ratings.js';
import { capital } from '../../model/capital.js';
import { placeWords, ratedWords, ratingNotes, ratingRows } from '../../model/rating-rows.js';
import { visibleText } from '../../text/visible-text.js';
import { html, type Markup } from '../markup.js';
import { figureOf, typeset } from '../typeset.js';
import { table } from './table.js';

/** The power that a run gives by itself, at each limit into each load, with what a reader must know beside it. */
export function ratingsSection({ ratings }: JudgedRun): Markup {
  const rows = ratingRows(ratings);
  if (rows.length === 0) return html``;
  const rated = table(
    'Power kept by the weakest channel, per channel',
    [
      { name: 'Into' },
      { name: 'THD+N', figures: true },
      { name: typeset('From 20 Hz to 20 kHz'), figures: true },
      { name: 'Decided at' },
      { name: typeset('At 1 kHz'), figures: true },
      { name: 'Conservative rating', figures: true },
    ],
    rows.map(({ setting, limit, band, at_1kHz, conservative_W }) => [
      typeset(setting),
      typeset(limit),
      ratedFigure(band),
      typeset(placeWords(band)),
      ratedFigure(at_1kHz),
      figureOf(conservative_W, 'W'),
    ]),
  );
  const notes = ratingNotes(ratings).map((note) => html`<li>${typeset(visibleText(capital(note)))}</li>\n`);
  return html`<section aria-labelledby="ratings"><h2 id="ratings">Ratings</h2>
${rated}<p>The conservative rating is the highest preferred number (R20) that every channel meets with its guard band at every frequency from ${typeset('20 Hz')} to ${typeset('20 kHz')}.</p>
${notes.length > 0 && html`<ul>${notes}</ul>`}</section>
`;
}

const ratedFigure = (rated: RatedPower | null): Markup =>
  rated === null ? html`–` : html`<data value="${rated.power_W}">${typeset(ratedWords(rated))}</data>`;

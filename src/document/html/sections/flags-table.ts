import type { RunRecord } from '../../../record/run-record.js';
import { capital } from '../../model/capital.js';
import { flagPlaces } from '../../model/flag-places.js';
import { visibleText } from '../../text/visible-text.js';
import { html, type Markup } from '../markup.js';
import { typeset } from '../typeset.js';
import { table } from './table.js';

/** What the readings warn about, in plain words, and where. */
export function flagsTable(record: RunRecord): Markup {
  if (record.readings.length === 0) return html``;
  const places = flagPlaces(record);
  if (places.length === 0) return html`<p>No reading carries a flag.</p>`;
  return table(
    'Flags: what to bear in mind with these figures',
    [{ name: 'Flag' }, { name: 'It means' }, { name: 'Readings', figures: true }, { name: 'Where' }],
    places.map(({ flag, words, readings, where }) => [
      flag,
      capital(words),
      readings,
      typeset(visibleText(where)),
    ]),
  );
}

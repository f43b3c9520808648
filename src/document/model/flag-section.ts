import type { RunRecord } from '../../record/run-record.js';
import type { Section } from './block.js';
import { capital } from './capital.js';
import { flagPlaces } from './flag-places.js';
import { figures, section, table, text } from './make-blocks.js';

const TITLE = 'Flags: what to bear in mind with these figures';

/** What the readings warn about, in plain words, and where; nothing where nothing was read. */
export function flagSection(record: RunRecord): Section[] {
  if (record.readings.length === 0) return [];
  const places = flagPlaces(record);
  if (places.length === 0) return [section('flags', 'Flags', [text('No reading carries a flag.')])];
  const columns = ['Flag', 'Meaning', ...figures('Readings'), 'Where'];
  const rows = places.map(({ flag, words, readings, where }) => [
    flag,
    capital(words),
    String(readings),
    where,
  ]);
  return [section('flags', TITLE, [table(TITLE, columns, rows)])];
}

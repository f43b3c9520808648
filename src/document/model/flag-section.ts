import type { RunRecord } from '../../record/run-record.js';
import type { Section } from './block.js';
import { capital } from './capital.js';
import { flagPlaces } from './flag-places.js';

const TITLE = 'Flags: what to bear in mind with these figures';

/** What the readings warn about, in plain words, and where; nothing where nothing was read. */
export function flagSection(record: RunRecord): Section[] {
  if (record.readings.length === 0) return [];
  const places = flagPlaces(record);
  return [
    {
      id: 'flags',
      title: places.length === 0 ? 'Flags' : TITLE,
      blocks:
        places.length === 0
          ? [{ kind: 'text', text: 'No reading carries a flag.' }]
          : [
              {
                kind: 'table',
                title: TITLE,
                columns: [
                  { name: 'Flag' },
                  { name: 'Meaning' },
                  { name: 'Readings', figures: true },
                  { name: 'Where' },
                ],
                rows: places.map(({ flag, words, readings, where }) => [
                  flag,
                  capital(words),
                  String(readings),
                  where,
                ]),
              },
            ],
    },
  ];
}

import { expect, it } from 'vitest';
import { rowWithin } from '../../scripts/faults/campaign.js';
import { SOUND_ENTRIES } from '../../scripts/faults/sound-entries.js';
import { STREAM_ENTRIES } from '../../scripts/faults/stream-entries.js';

/** What is done to the whole program and to no bench in another test of this folder; `npm run faults` has all of them. */
const NAMES = [
  'sound-clipping',
  'sound-database-locked',
  'server-restarted',
  'computer-asleep',
  'stream-parent-stopped',
];
const entries = [...SOUND_ENTRIES, ...STREAM_ENTRIES].filter(({ name }) => NAMES.includes(name));

it.each(entries.map((entry) => [entry.name, entry] as const))(
  'the whole program is silent within 250 ms, with no reading wrong or lost: %s',
  async (_, entry) => {
    const row = await rowWithin(entry, true, 1);
    expect(row.trials.flatMap(({ misses }) => misses)).toEqual([]);
    expect(row.trials).toHaveLength(1);
  },
);

it('all of these are among the faults of the campaign', () => {
  expect(entries).toHaveLength(NAMES.length);
});

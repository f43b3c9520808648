import { describe, expect, it } from 'vitest';
import { ATTEMPT_ENTRIES } from '../../scripts/faults/attempt-entries.js';
import { ENTRIES, rowWithin } from '../../scripts/faults/campaign.js';
import { faultTable } from '../../scripts/faults/table.js';

const SEED = 20_260_301;
/** A disk of its own, which the long form fills, takes rights that tests need not have. */
const entries = ENTRIES.filter(({ name }) => !name.includes('disk-full'));

describe('when this goes wrong, all is silent within 250 ms, and no reading is wrong or lost', () => {
  it.each(entries.map((entry) => [entry.name, entry] as const))(
    '%s',
    { timeout: 60_000 },
    async (_, entry) => {
      const row = await rowWithin(entry, true, SEED);
      expect(row.trials.flatMap(({ misses }) => misses)).toEqual([]);
      expect(row.trials).toHaveLength(1);
    },
  );
});

/** What no other test puts in the way of the whole program. */
const ATTEMPTS = [
  'warm-loads',
  'report-not-written',
  'bundle-killed',
  'pipe-as-bench',
  'version-zero',
  'unknown-unit',
  'few-files',
];
const attempts = ATTEMPT_ENTRIES.filter(({ name }) => ATTEMPTS.includes(name));

describe('what is put in the way of a command is met by one clear message, and nothing is lost', () => {
  it.each(attempts.map((entry) => [entry.name, entry] as const))(
    '%s',
    { timeout: 60_000 },
    async (_, entry) => {
      const row = await rowWithin(entry, true, SEED);
      expect(row.trials.flatMap(({ misses }) => misses)).toEqual([]);
    },
  );

  it('all of these are among the faults of the campaign', () => {
    expect(attempts).toHaveLength(ATTEMPTS.length);
  });
});

it('a fault that could not be injected is a row that says so, and counts as missed', async () => {
  const broken = {
    ...ENTRIES[0]!,
    inject: async () => {
      throw new Error('no such bench');
    },
  };
  const row = await rowWithin(broken, true, 1);
  expect(row.trials[0]!.misses).toEqual(['could not be shown: no such bench']);
  expect(faultTable([row])).toContain('| no such bench |');
});

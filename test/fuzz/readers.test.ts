import { describe, expect, it } from 'vitest';
import { campaign } from '../../scripts/fuzz/campaign.js';
import { SUBJECTS } from '../../scripts/fuzz/subjects.js';

/** The short form of `npm run fuzz`; how long a case takes says nothing here, where tests run side by side. */
describe('damaged and hostile input', () => {
  it.each(Object.keys(SUBJECTS))(
    'is read or refused in plain words, with its place, by the %s reader',
    async (name) => {
      // A whole database is read in each case.
      const cases = name === 'database' ? 500 : 2000;
      const tally = await campaign(SUBJECTS[name]!(), { cases, seed: 7, timed: false });
      expect(tally.failure).toBeNull();
      expect(tally.read + tally.refused).toBe(cases);
      // Cases that are all refused, or all read, would try nothing.
      expect(tally.read).toBeGreaterThan(cases / 40);
      expect(tally.refused).toBeGreaterThan(cases / 4);
    },
    120_000,
  );
});

import { describe, expect, it } from 'vitest';
import { campaign } from '../../scripts/fuzz/campaign.js';
import { SUBJECTS } from '../../scripts/fuzz/subjects.js';

/** The short form of `npm run fuzz`; how long a case takes says nothing here, where tests run side by side. */
describe('damaged and hostile input', () => {
  it.each(Object.keys(SUBJECTS))(
    'is read or refused in plain words, with its place, by the %s reader',
    async (name) => {
      const tally = await campaign(SUBJECTS[name]!(), { cases: 2000, seed: 7, timed: false });
      expect(tally.failure).toBeNull();
      expect(tally.read + tally.refused).toBe(2000);
      // Cases that are all refused, or all read, would try nothing.
      expect(tally.read).toBeGreaterThan(50);
      expect(tally.refused).toBeGreaterThan(500);
    },
    120_000,
  );
});

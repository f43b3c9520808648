import { describe, expect, it } from 'vitest';
import { killCampaign } from '../../scripts/kill-campaign.js';

describe('a run that is killed with SIGKILL at any instant', () => {
  it('has lost no point that was stored, doubled nothing, and can be gone on with to its end', {
    timeout: 600_000,
  }, async () => {
    const killed = await killCampaign({ kills: 50, seed: 20260301, parallel: 2 });
    expect(killed.flatMap(({ instant, faults }) => faults.map((fault) => ({ instant, fault })))).toEqual([]);
    expect(killed).toHaveLength(50);
    // The instants were spread over the run, so that the above says something.
    expect(new Set(killed.map(({ found }) => found)).size).toBeGreaterThan(15);
  });
});

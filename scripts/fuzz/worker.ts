/** The process in which one reader is fuzzed; started by `fuzz.ts`, which watches it. */
import { openSync, writeSync } from 'node:fs';
import { campaign, type Tally } from './campaign.js';
import { SUBJECTS } from './subjects.js';

/** What the watching process hands over. */
export interface Orders {
  readonly name: string;
  readonly cases: number;
  readonly seed: number;
  readonly path: string | null;
  /** File that holds the number of the case being read, so that a hang can be told to the case. */
  readonly diary: string;
}

/** A tally with the most memory that its process ever held. */
export interface Account extends Tally {
  readonly memory_MB: number;
  readonly wall_s: number;
}

process.once('message', async (orders: Orders) => {
  const diary = openSync(orders.diary, 'w');
  const began = performance.now();
  const tally = await campaign(SUBJECTS[orders.name]!(), {
    cases: orders.cases,
    seed: orders.seed,
    ...(orders.path === null ? {} : { path: orders.path }),
    timed: true,
    before: (index) => writeSync(diary, String(index).padStart(12), 0),
  });
  const account: Account = {
    ...tally,
    memory_MB: process.resourceUsage().maxRSS / 1024,
    wall_s: (performance.now() - began) / 1000,
  };
  process.send!(account, () => process.disconnect());
});

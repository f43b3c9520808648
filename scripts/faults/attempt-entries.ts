import { attemptRow } from './attempt.js';
import { BENCH_ATTEMPTS } from './attempts/bench-attempts.js';
import { FILE_ATTEMPTS } from './attempts/file-attempts.js';
import { WORD_ATTEMPTS } from './attempts/word-attempts.js';
import type { Entry } from './campaign.js';

/** Whatever is put in the way of a single command. They need a build; it is the same every time, so once is enough. */
export const ATTEMPT_ENTRIES: readonly Entry[] = [...BENCH_ATTEMPTS, ...FILE_ATTEMPTS, ...WORD_ATTEMPTS].map(
  (attempt) => ({
    name: attempt.name,
    where: 'command',
    times: 1,
    timesInShort: 1,
    inject: (times) => attemptRow(attempt, times),
  }),
);

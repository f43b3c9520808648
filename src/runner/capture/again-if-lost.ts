import { SamplesLost } from '../../bench/bench-errors.js';
import type { Walk } from '../course/walk.js';

const TRIES = 5;

/**
 * Does once more what the bench has lost samples in, and tells each time. It waits a little longer each time, since what keeps a
 * computer busy passes.
 *
 * @param what is done again, as in "the wiring check is made again"
 * @param attempt leaves silence behind when it throws
 * @throws SamplesLost when it keeps happening, TooManyDropouts
 */
export async function againIfLost<T>(walk: Walk, what: string, attempt: () => Promise<T>): Promise<T> {
  for (let tries = 1; ; tries += 1)
    try {
      return await attempt();
    } catch (error) {
      if (!(error instanceof SamplesLost) || tries === TRIES) throw error;
      walk.guard.countDropout();
      await walk.note('capture', `${error.explanation.what}: ${what} again`);
      await walk.request.bench.idle(tries, walk.request.signal);
    }
}

import { SamplesLost } from '../../src/bench/bench-errors.js';

const TRIES = 5;

/** Does again what the bench says it has lost samples in, as the program does: a busy machine does that to any bench in real time. */
export async function whole<T>(play: () => Promise<T>): Promise<T> {
  for (let tries = 1; ; tries += 1)
    try {
      return await play();
    } catch (error) {
      if (!(error instanceof SamplesLost) || tries === TRIES) throw error;
    }
}

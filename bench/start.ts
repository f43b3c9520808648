import { quickestStarts } from './quickest-start.js';

/** Time to `ohmest --help` against a node that does nothing. */
export async function startBench(): Promise<{ name: string; text: string; value: number }[]> {
  return quickestStarts([['--help']]);
}

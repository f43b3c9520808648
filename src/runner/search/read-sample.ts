import type { Reading } from '../../record/run-record.js';
import { contradiction, type LevelSample } from './crossing-bracket.js';

/** A level of a search with all that was read at it. */
export interface ReadSample extends LevelSample {
  readonly readings: readonly Reading[];
}

/** As `contradiction`, with the whole readings. */
export const contradictionAmong = (
  samples: readonly ReadSample[],
  index: number,
  threshold_percent: number,
): readonly [Reading, Reading] | null =>
  contradiction(samples, index, threshold_percent) as readonly [Reading, Reading] | null;

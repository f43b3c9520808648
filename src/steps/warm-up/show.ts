import type { Section } from '../../document/model/block.js';
import { findingsTable } from '../../document/model/findings-table.js';
import type { ShowGround } from '../../document/model/ground.js';
import { section } from '../../document/model/make-blocks.js';

/** A warm-up is no measurement; what it concludes is listed as it is. */
export const showWarmUp = ({ findings }: ShowGround): readonly Section[] =>
  findings.length === 0 ? [] : [section('warm-up', 'Warm-up', [findingsTable('Warm-up', findings)])];

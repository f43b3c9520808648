import type { Section } from '../../document/model/block.js';
import { findingsTable } from '../../document/model/findings-table.js';
import type { ShowGround } from '../../document/model/ground.js';

/** A warm-up is no measurement; what it concludes is listed as it is. */
export const showWarmUp = ({ findings }: ShowGround): readonly Section[] =>
  findings.length === 0
    ? []
    : [
        {
          id: 'warm-up',
          title: 'Warm-up',
          blocks: [{ kind: 'table', ...findingsTable('Warm-up', findings) }],
        },
      ];

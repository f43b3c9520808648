import { expect, it } from 'vitest';
import type { QuantityName } from '../../../src/record/quantities.js';
import { findingOf, SILENCE } from '../../../src/runner/findings/finding-of.js';
import { showQuiet } from '../../../src/steps/quiet/show.js';

const found = (quantity: QuantityName, value: number) =>
  findingOf({ id: 'q', kind: 'quiet', driven: [1], load_ohm: 8, mains_V: null, cell: '' } as never, 1, {
    quantity,
    statistic: 'value',
    value,
    stimulus: SILENCE,
  });

it('a step that was played again shows one row: the newest meter reading, the worst of what was measured', () => {
  const findings = [
    ...[found('dc-by-meter', 0.15), found('dc', 0.05), found('noise', 0.001)],
    ...[found('dc-by-meter', 0.008), found('dc', 0.01), found('noise', 0.002)],
  ];
  const [section] = showQuiet({ findings } as never);
  const rows = section!.blocks.flatMap((block) => (block.kind === 'table' ? block.rows : []));
  expect(rows).toHaveLength(1);
  expect(
    rows[0]!.map((cell) => (typeof cell === 'string' ? null : (cell as { exact?: number }).exact)),
  ).toEqual([null, 0.05, 0.008, 0.002, null, null]);
});

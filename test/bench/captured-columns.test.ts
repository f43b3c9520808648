import { describe, expect, it } from 'vitest';
import { columnCount, sortColumns } from '../../src/bench/captured-columns.js';
import { plainChain } from '../calibration/plain-chain.js';

const current = { input: 9, fullScale_Vpk: 1, shunt_ohm: 0.1, stated: null };
const column = (value: number) => Float64Array.of(value);

describe('captured columns', () => {
  it('are the voltages of all channels, then the currents of those that have a tap', () => {
    const chains = [plainChain(1, { current }), plainChain(2), plainChain(3, { current })];
    expect(columnCount(chains)).toBe(5);
    expect(sortColumns([1, 2, 3, 4, 5].map(column), chains)).toEqual({
      channels: [1, 2, 3].map(column),
      currents: [column(4), null, column(5)],
    });
  });

  it('say nothing of currents where no channel has a tap', () => {
    const chains = [plainChain(1), plainChain(2)];
    expect(columnCount(chains)).toBe(2);
    expect(sortColumns([1, 2].map(column), chains)).toEqual({ channels: [1, 2].map(column) });
  });
});

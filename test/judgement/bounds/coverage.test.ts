import { describe, expect, it } from 'vitest';
import { gapWords, untried, within } from '../../../src/judgement/bounds/coverage.js';

describe('within', () => {
  it('takes a frequency to lie on an edge that is no more than 1 % away', () => {
    const [low, high] = [20 * (1 - 0.01), 20_000 * (1 + 0.01)];
    expect([low, low - 0.01, high, high + 1].map((at) => within(at, [20, 20_000]))).toEqual([
      true,
      false,
      true,
      false,
    ]);
  });
});

describe('untried', () => {
  it('is nothing of a band whose ends and octaves were played, in whatever order', () => {
    expect(untried([1600, 20, 201, 40, 80, 803, 100, 398, 20], [20, 1600])).toEqual([]);
  });

  it('names both ends, and no stretch beside a missing end', () => {
    expect(untried([100, 1000], [20, 20_000])).toEqual([{ at_Hz: 20 }, { at_Hz: 20_000 }]);
    expect(untried([20, 1000], [20, 20_000])).toEqual([{ at_Hz: 20_000 }]);
    // 0.9 % off stands for the end, 1.1 % off does not, on either side.
    expect(untried([20.18, 39.64], [20, 40])).toEqual([]);
    expect(untried([20.22, 39.56], [20, 40])).toEqual([{ at_Hz: 20 }, { at_Hz: 40 }]);
  });

  it('names stretches wider than an octave, and a twentieth on top for nominal frequencies', () => {
    expect(untried([100, 205, 500], [100, 500])).toEqual([{ between_Hz: [205, 500] }]);
    expect(untried([100, 206, 412], [100, 412])).toEqual([{ between_Hz: [100, 206] }]);
  });

  it('lets no frequency beside the band count', () => {
    expect(untried([5, 20, 40, 900], [20, 40])).toEqual([]);
  });

  it('of a single frequency is that frequency, once', () => {
    expect(untried([1005], [1000, 1000])).toEqual([]);
    expect(untried([], [1000, 1000])).toEqual([{ at_Hz: 1000 }]);
  });
});

describe('gapWords', () => {
  it('is one phrase for frequencies and one for stretches', () => {
    const at = [{ at_Hz: 20 }, { at_Hz: 63 }, { at_Hz: 20_000 }];
    expect(gapWords(at)).toEqual(['not measured at 20 Hz, 63 Hz and 20 kHz']);
    expect(gapWords(at.slice(0, 1), 'near this limit')).toEqual(['not measured near this limit at 20 Hz']);
    const between = [{ between_Hz: [20, 80] as const }, { between_Hz: [1000, 4000] as const }];
    expect(gapWords([...between, ...at.slice(0, 2)])).toEqual([
      'not measured at 20 Hz and 63 Hz',
      'not measured between 20 Hz and 80 Hz, and between 1 kHz and 4 kHz',
    ]);
    expect(gapWords([])).toEqual([]);
  });
});

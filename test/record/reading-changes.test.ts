import { describe, expect, it } from 'vitest';
import { isReal, readingChanges } from '../../src/record/reading-changes.js';
import { inventedPoint, inventedReading } from '../store/invented-run.js';

const before = inventedReading(inventedPoint(3), 2);

describe('what changed in a reading', () => {
  it('is nothing when nothing did, whatever order the flags come in', () => {
    const flags = [...before.flags].reverse();
    expect(readingChanges(before, { ...before, flags })).toEqual([]);
    const silent = { ...before, sinad_dB: Number.NaN };
    expect(readingChanges(silent, { ...silent })).toEqual([]);
  });

  it('is each quantity with its place and its share of the larger of both', () => {
    const [change, ...others] = readingChanges(before, { ...before, dc_V: -0.0042 });
    expect(others).toEqual([]);
    expect(change).toEqual({
      point: 3,
      channel: 2,
      frequency_Hz: before.frequency_Hz,
      quantity: 'dc_V',
      before: -0.0021,
      after: -0.0042,
      relative: 0.5,
    });
  });

  it('is rounding up to a billionth, and real beyond', () => {
    const shift = (share: number) =>
      readingChanges(before, { ...before, power_W: before.power_W * (1 + share) });
    expect(shift(0.9e-9).map(isReal)).toEqual([false]);
    expect(shift(1.1e-9).map(isReal)).toEqual([true]);
  });

  it('has no share where a figure came, went or is words, and is real then', () => {
    const after = {
      ...before,
      uncertainty_W: 1,
      thd_percent: null,
      sinad_dB: Number.NaN,
      method: 'fitted' as const,
      flags: [],
      gaps: [{ frame: 1, slip_frames: null }],
      band_Hz: [20, 30_000] as const,
      harmonics: before.harmonics.slice(1),
    };
    const changes = readingChanges(before, after);
    expect(changes.map(({ quantity }) => quantity).sort()).toEqual(
      [
        'band_Hz',
        'flags',
        'gaps',
        'harmonic 2, V',
        'method',
        'sinad_dB',
        'thd_percent',
        'uncertainty_W',
      ].filter(
        // Channel 2 had a gap already, and as many of them.
        (quantity) => quantity !== 'gaps',
      ),
    );
    expect(changes.map(({ relative }) => relative)).toEqual(changes.map(() => null));
    expect(changes.every(isReal)).toBe(true);
  });
});

import { describe, expect, it } from 'vitest';
import { drifting } from '../../scripts/faults/drifting.js';
import { bent, doubled, dropped, frozen, type Harm, humming } from '../../scripts/faults/harm.js';

/** Feeds a signal in blocks of uneven length, and puts together what comes out. */
function through(
  harm: Harm,
  signal: readonly number[],
  blocks: readonly number[] = [7, 100, 1, 64],
): number[] {
  const out: number[] = [];
  for (let at = 0, n = 0; at < signal.length; n += 1) {
    const block = signal.slice(at, at + blocks[n % blocks.length]!);
    out.push(...harm.take([Float64Array.from(block)], at)[0]!);
    at += block.length;
  }
  return out;
}

const count = Array.from({ length: 400 }, (_, i) => i);

describe('a harm', () => {
  it.each([1, 5, 150])('of %i lost samples leaves out exactly those', (lost) => {
    expect(through(dropped(130, lost), count)).toEqual([...count.slice(0, 130), ...count.slice(130 + lost)]);
  });

  it.each([1, 5, 60])('of %i doubled samples brings exactly those twice', (again) => {
    const expected = [...count.slice(0, 130), ...count.slice(130 - again, 130), ...count.slice(130)];
    expect(through(doubled(130, again), count)).toEqual(expected);
  });

  it('freezes one channel at the first block that begins after its sample', () => {
    const harm = frozen(103, 1);
    const blocks = [100, 103, 106].map((at) => {
      const samples = Float64Array.of(at, at + 1, at + 2);
      return harm.take([samples, samples], at).map((channel) => [...channel]);
    });
    expect(blocks).toEqual([
      [
        [100, 101, 102],
        [100, 101, 102],
      ],
      [
        [103, 104, 105],
        [103, 104, 105],
      ],
      [
        [106, 107, 108],
        [103, 104, 105],
      ],
    ]);
  });

  it('adds a tone to one channel from its sample on', () => {
    const flat = Float64Array.of(1, 1, 1, 1);
    const [first, second] = humming(102, 1, 0.5, 1 / 4).take([flat, flat], 100);
    expect([...first!]).toEqual([1, 1, 1, 1]);
    // sin of 2 pi times 102/4 and 103/4: 0 and -1.
    expect([...second!.subarray(0, 2)]).toEqual([1, 1]);
    expect(second![2]).toBeCloseTo(1, 9);
    expect(second![3]).toBeCloseTo(0.5, 9);
  });

  it('bends one channel from its sample on, and no other', () => {
    const [first, second] = bent(103, 1, (sample) => -sample).take(
      [Float64Array.of(1, 2, 3, 4, 5), Float64Array.of(1, 2, 3, 4, 5)],
      100,
    );
    expect([...first!]).toEqual([1, 2, 3, 4, 5]);
    expect([...second!]).toEqual([1, 2, 3, -4, -5]);
  });

  it('of a drifting clock leaves samples alone before it, and takes a sine later by the drift after it', () => {
    const turn = 2 * Math.PI * 0.13;
    const sine = Array.from({ length: 6000 }, (_, n) => Math.sin(turn * n));
    for (const drift of [200e-6, -200e-6]) {
      const out = through(drifting(2000, drift), sine);
      expect(out.slice(0, 2000)).toEqual(sine.slice(0, 2000));
      // Closed form: sample 2000 + m is the sine at 2000 + m (1 + drift).
      const off = out.slice(2000).map((sample, m) => sample - Math.sin(turn * (2000 + m * (1 + drift))));
      expect(out.length).toBeGreaterThan(5900);
      expect(Math.max(...off.map(Math.abs))).toBeLessThan(10 ** (-110 / 20));
    }
  });
});

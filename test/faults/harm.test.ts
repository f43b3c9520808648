import { describe, expect, it } from 'vitest';
import { drifting } from '../../scripts/faults/drifting.js';
import { bent, doubled, dropped, type Harm } from '../../scripts/faults/harm.js';

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

import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type ClimbEnd, type ClimbLimits, nextClimbMove } from '../../../src/runner/search/climb-search.js';
import {
  contradiction,
  type LevelSample,
  samplesAtLevel,
} from '../../../src/runner/search/crossing-bracket.js';
import { clipper, softUnit } from '../search-units.js';

const limits: ClimbLimits = { from_dBW: -13, most_dBW: 23, marks_percent: [0.1, 1], stop_percent: 1 };

function climb(
  units: ReturnType<typeof clipper>[],
  asked: ClimbLimits = limits,
): { samples: LevelSample[]; end: ClimbEnd } {
  const samples: LevelSample[] = [];
  for (;;) {
    const move = nextClimbMove(samples, asked);
    if (move.kind === 'done') return { samples, end: move.end };
    expect(move.asked_dBW).toBeLessThanOrEqual(asked.most_dBW);
    const readings = units.map((unit, i) => ({ channel: i + 1, ...unit(move.asked_dBW) }));
    samples.push({ asked_dBW: move.asked_dBW, readings });
  }
}

function bracket(
  samples: readonly LevelSample[],
  channel: number,
  mark: number,
): { width_dB: number; low_dB: number; high_dB: number } {
  const sorted = [...samples]
    .sort((a, b) => a.asked_dBW - b.asked_dBW)
    .map((sample) => sample.readings[channel - 1]!);
  const high = sorted.findLastIndex(
    (reading, i) => i > 0 && reading.thdn_percent >= mark && sorted[i - 1]!.thdn_percent < mark,
  );
  const [low_dB, high_dB] = [sorted[high - 1]!, sorted[high]!].map(
    (reading) => 10 * Math.log10(reading.power_W),
  ) as [number, number];
  return { width_dB: high_dB - low_dB, low_dB, high_dB };
}

describe('nextClimbMove', () => {
  it('begins at the lowest level', () => {
    expect(nextClimbMove([], limits)).toEqual({ kind: 'play', asked_dBW: -13 });
  });

  it('brackets both crossings of a hard clipper to 0.05 dB in at most 40 points, wherever it clips', () => {
    fc.assert(
      fc.property(
        fc.double({ min: -5, max: 21, noNaN: true }),
        fc.double({ min: 1e-9, max: 0.03, noNaN: true }),
        (clip_dBW, noise) => {
          const { samples, end } = climb([clipper(clip_dBW, noise)]);
          expect(samples.length).toBeLessThanOrEqual(40);
          expect(['stop-rule', 'far-over']).toContain(end);
          for (const mark of [0.1, 1]) expect(bracket(samples, 1, mark).width_dB).toBeLessThanOrEqual(0.05);
        },
      ),
    );
  });

  it('brackets a slow rise of distortion without crawling', () => {
    const { samples } = climb([softUnit(18)]);
    expect(samples.length).toBeLessThanOrEqual(30);
    expect(bracket(samples, 1, 0.1)).toMatchObject({
      low_dB: expect.closeTo(8, 1),
      high_dB: expect.closeTo(8, 1),
    });
    expect(bracket(samples, 1, 1).width_dB).toBeLessThanOrEqual(0.05);
  });

  it('never overshoots a hard clipper by more than one step of its rise', () => {
    const { samples } = climb([clipper(17.3)]);
    expect(Math.max(...samples.map((sample) => sample.asked_dBW))).toBeLessThanOrEqual(17.3 + 1.5 + 0.3);
  });

  it('climbs through noise that is above the threshold at low level, and marks the last crossing', () => {
    const { samples, end } = climb([clipper(15, 0.02)], { ...limits, from_dBW: -40 });
    expect(samples[0]!.readings[0]!.thdn_percent).toBeGreaterThan(1);
    expect(end).toBe('stop-rule');
    expect(bracket(samples, 1, 0.1).low_dB).toBeGreaterThan(14.9);
  });

  it('keeps on until the last channel has crossed, and brackets each', () => {
    const { samples, end } = climb([clipper(15), clipper(15.6), clipper(14.8)]);
    expect(end).toBe('stop-rule');
    for (const channel of [1, 2, 3])
      for (const mark of [0.1, 1]) expect(bracket(samples, channel, mark).width_dB).toBeLessThanOrEqual(0.05);
  });

  it('stops for the sake of a channel that is far into clipping while another is not', () => {
    const { samples, end } = climb([clipper(8), clipper(20)]);
    expect(end).toBe('far-over');
    expect(Math.max(...samples.map((sample) => sample.asked_dBW))).toBeLessThan(14);
    expect(bracket(samples, 1, 1).width_dB).toBeLessThanOrEqual(0.05);
  });

  it('ends at the highest level allowed when nothing is crossed', () => {
    const { samples, end } = climb([clipper(30)]);
    expect(end).toBe('level-limit');
    expect(samples.at(-1)!.asked_dBW).toBe(23);
  });

  it('climbs on through a unit whose hum is above the threshold from the first level', () => {
    const hum = (asked_dBW: number) => {
      const { power_W, thdn_percent } = clipper(15)(asked_dBW);
      return { power_W, thdn_percent: Math.hypot(thdn_percent, 9.6 - 0.001 * asked_dBW) };
    };
    const { samples, end } = climb([hum]);
    expect(Math.max(...samples.map((sample) => sample.asked_dBW))).toBeGreaterThan(15);
    expect(end).toBe('stop-rule');
  });

  it('does not drive on a unit that is deep in clipping from the first level', () => {
    expect(climb([clipper(-20)]).samples.length).toBeLessThan(6);
  });

  it('comes to an end on readings that jump about', () => {
    let state = 1;
    const noisy = (asked_dBW: number) => {
      state = (state * 16807) % 2147483647;
      return { power_W: 10 ** (asked_dBW / 10), thdn_percent: 0.01 + 2 * (state / 2147483647) };
    };
    expect(climb([noisy]).samples.length).toBeLessThanOrEqual(90);
  });

  it('plays the lower end of a cliff once more, and no level of a unit that merely clips', () => {
    const clipped = climb([clipper(20, 1e-6)]).samples;
    for (const { asked_dBW } of clipped) expect(samplesAtLevel(clipped, asked_dBW)).toHaveLength(1);
    const cliff = climb([
      (level) => ({ power_W: 10 ** (level / 10), thdn_percent: level > 10 ? 3 : 0.01 }),
    ]).samples;
    const twice = cliff.filter(({ asked_dBW }) => samplesAtLevel(cliff, asked_dBW).length === 2);
    expect(twice).toHaveLength(2);
    expect(twice[0]!.asked_dBW).toBeCloseTo(10, 1);
    expect(contradiction(cliff, 0, 1)).toBeNull();
  });

  it('tells a unit that changed on the way up from one that clips there', () => {
    let captures = 0;
    const humming = (level: number) => {
      captures += 1;
      return { power_W: 10 ** (level / 10), thdn_percent: captures > 6 ? 3 : 0.01 };
    };
    const { samples } = climb([humming]);
    const [first, again] = contradiction(samples, 0, 0.1)!;
    expect([first.thdn_percent, again.thdn_percent]).toEqual([0.01, 3]);
  });
});

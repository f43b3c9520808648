import { describe, expect, it } from 'vitest';
import { nextClimbMove } from '../../../src/runner/search/climb-search.js';
import type { LevelSample } from '../../../src/runner/search/crossing-bracket.js';
import { dBW, fromDBW } from '../../../src/units/decibel.js';

const LIMITS = { from_dBW: -13, most_dBW: 24, marks_percent: [0.1, 1], stop_percent: 1 };

/** Climbs a unit without distortion that gives this at a drive, both in dB above 1 W. */
function climb(given_dBW: (asked_dBW: number) => number): LevelSample[] {
  const samples: LevelSample[] = [];
  for (;;) {
    const move = nextClimbMove(samples, LIMITS);
    if (move.kind === 'done') return samples;
    const { asked_dBW } = move;
    samples.push({
      asked_dBW,
      readings: [{ channel: 1, power_W: fromDBW(given_dBW(asked_dBW)), thdn_percent: 0.003 }],
    });
  }
}

const highest_dBW = (samples: readonly LevelSample[]) =>
  Math.max(...samples.map(({ readings }) => dBW(readings[0]!.power_W)));

describe('a unit that no longer follows the drive', () => {
  it.each([11.3, 14.9, 17.05])('folds back above %f dBW: its peak is found to 0.025 dB', (peak) => {
    const samples = climb((asked) => (asked <= peak ? asked : 2 * peak - asked));
    expect(highest_dBW(samples)).toBeGreaterThan(peak - 0.025);
    expect(samples.length).toBeLessThan(32);
  });

  it('holds a power: it is read 0.9 dB of drive further down as well, and followed below that', () => {
    const samples = climb((asked) => Math.min(asked, 14.2));
    const at = (dB: number) => Math.max(...samples.map(({ asked_dBW }) => asked_dBW)) - dB;
    const held = samples.filter(({ asked_dBW }) => asked_dBW > 14.3 && asked_dBW <= at(0.9));
    expect(held.length).toBeGreaterThan(0);
  });

  it('still gives a little more at the top: no more drive is tried, and few captures are spent on it', () => {
    const samples = climb((asked) => (asked <= 12 ? asked : 12 + (asked - 12) / 4));
    expect(Math.max(...samples.map(({ asked_dBW }) => asked_dBW))).toBeLessThan(18);
    expect(samples.length).toBeLessThan(20);
  });
});

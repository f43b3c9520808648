/*
 * One definition of maximum power: a climb and a search for the maximum power at the same setting find the same last crossing up
 * to the stop, whatever the start, on units whose true power is known by root finding.
 */
import { describe, expect, it } from 'vitest';
import { exceededBelow, lastCrossing } from '../../../src/measure/crossing.js';
import type { MaxPowerLimits } from '../../../src/runner/search/channel-search.js';
import { nextClimbMove } from '../../../src/runner/search/climb-search.js';
import type { LevelSample } from '../../../src/runner/search/crossing-bracket.js';
import { maxPowerEnd, nextMaxPowerMove } from '../../../src/runner/search/max-power-search.js';
import { dBW } from '../../../src/units/decibel.js';
import { type Device, trueMaxPower } from '../../reference/devices/device.js';
import {
  crossover,
  currentLimitedFilter,
  inputHighPass,
  limiter,
  railSwitch,
  unregulatedSupply,
} from '../../reference/devices/devices.js';

const RANGE = { from_dBW: dBW(0.05), most_dBW: dBW(225) };

type Move = { readonly kind: 'play'; readonly asked_dBW: number } | { readonly kind: 'done' };

function searched(device: Device, next: (samples: readonly LevelSample[]) => Move, frequency_Hz = 1000) {
  const samples: LevelSample[] = [];
  for (;;) {
    const move = next(samples);
    if (move.kind === 'done') return samples;
    const readings = [{ channel: 1, ...device.at(move.asked_dBW, frequency_Hz) }];
    samples.push({ asked_dBW: move.asked_dBW, readings });
  }
}

const climbed = (device: Device) =>
  searched(device, (samples) =>
    nextClimbMove(samples, { ...RANGE, marks_percent: [0.1, 1], stop_percent: 1 }),
  );

function searchedFrom(device: Device, start_W: number | null, frequency_Hz = 1000) {
  const near = start_W && {
    first_dBW: dBW(start_W) - 1,
    expected: [{ linear_dBW: dBW(start_W), drift_dB: 0, curve: [] }],
  };
  const limits: MaxPowerLimits = { ...RANGE, threshold_percent: 0.1, near: near || null };
  return searched(device, (samples) => nextMaxPowerMove(samples, limits), frequency_Hz);
}

const pointsOf = (samples: readonly LevelSample[]) => samples.map(({ readings }) => readings[0]!);
const foundBy = (samples: readonly LevelSample[]) => lastCrossing(pointsOf(samples), 0.1)?.power_W ?? null;

describe.each([
  railSwitch(22, 31, 0.159),
  railSwitch(18, 22, 0.159),
  railSwitch(22, 31, 0.9),
  crossover(0.9),
  crossover(3),
  unregulatedSupply(120, 0.1),
  currentLimitedFilter(100, 8, 1e-6),
  inputHighPass(20),
])('$name', (device) => {
  const true_W = trueMaxPower(device, 0.1, RANGE)!;

  it('gives its true power to a climb', () => {
    expect(Math.abs(dBW(foundBy(climbed(device))! / true_W))).toBeLessThan(0.01);
  });

  it.each([null, 0.1, 3, 15, 20, 25, 60, 90, 150])('and to a search that starts at %s W', (start_W) => {
    const samples = searchedFrom(device, start_W);
    expect(Math.abs(dBW(foundBy(samples)! / true_W))).toBeLessThan(0.01);
    expect(samples.length).toBeLessThan(60);
  });
});

describe('what lies below the maximum power', () => {
  it('is the hump of a rail switch, narrow or wide, within 0.3 dB of its edges', () => {
    for (const [from_W, to_W] of [
      [22, 31],
      [18, 25],
    ] as const) {
      const stretches = exceededBelow(pointsOf(climbed(railSwitch(from_W, to_W, 0.159))), 0.1);
      expect(stretches.length).toBe(1);
      expect(Math.abs(dBW(stretches[0]![0] / from_W))).toBeLessThan(0.3);
      expect(Math.abs(dBW(stretches[0]![1] / to_W))).toBeLessThan(0.3);
    }
  });

  it('is crossover distortion from the lowest level on', () => {
    const [stretch] = exceededBelow(pointsOf(climbed(crossover(0.9))), 0.1);
    expect(stretch![0]).toBeCloseTo(0.05, 3);
    // 0.9 / root of P / (1 + P / 10) = 0.1, noise aside: by halving, 14.03 W.
    expect(Math.abs(dBW(stretch![1] / 14.03))).toBeLessThan(0.3);
  });
});

describe('an output that stops following the drive', () => {
  it('ends a climb and a search, long before the most that may be asked', () => {
    const device = limiter(56.5);
    const climb = climbed(device);
    const limits = { ...RANGE, marks_percent: [0.1, 1], stop_percent: 1 };
    expect(nextClimbMove(climb, limits)).toEqual({ kind: 'done', end: 'output-stopped-following' });
    const search = searchedFrom(device, 40);
    expect(maxPowerEnd(search, 0, { ...RANGE, threshold_percent: 0.1 })).toBe('output-stopped-following');
    for (const samples of [climb, search])
      expect(Math.max(...samples.map(({ asked_dBW }) => asked_dBW))).toBeLessThan(dBW(56.5) + 4);
  });
});

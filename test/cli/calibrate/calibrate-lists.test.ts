import { describe, expect, it } from 'vitest';
import { frequenciesOf, levelsOf } from '../../../src/cli/calibrate/calibrate-lists.js';

const count = (many: number, one: (index: number) => string) =>
  Array.from({ length: many }, (_, i) => one(i));

describe('the levels of a calibration', () => {
  it('are read with and without their unit, each once', () => {
    expect(levelsOf('-20, -6 dB,-1dB, -6', 'output')).toEqual([-20, -6, -1]);
    expect(levelsOf('-6', 'floor')).toEqual([-6]);
    expect(levelsOf(count(20, (i) => `${-1 - i}`).join(), 'output')).toHaveLength(20);
    expect(levelsOf(undefined, 'output')).toBeNull();
  });

  it.each([
    [' ,', /^--level: expected a number of decibels/],
    ['-20 -6 -1', /^--level: expected a number of decibels/],
    ['-20, -6, 0', /a level of 0 dB cannot be used\. Levels lie from -80 dB to -0\.5 dB/],
    ['-20, -6', /2 levels are too few/],
    ['-6, -6.05, -1', /the levels -6\.05 dB and -6 dB are too near to each other\. Keep them 0\.1 dB apart/],
    [count(21, (i) => `${-1 - i}`).join(), /21 levels are too many\. Name 20 at most/],
  ])('are refused before anything is played: %s', (text, reason) => {
    expect(() => levelsOf(text, 'output')).toThrow(reason);
  });

  it('may lie as near to each other as is said', () => {
    expect(levelsOf('-6.1, -6, -6.2', 'output')).toHaveLength(3);
  });
});

describe('the frequencies of a calibration', () => {
  it('rise, each once', () => {
    expect(frequenciesOf('20 kHz, 1 kHz,20 Hz, 1000 Hz', 'response', 48_000)).toEqual([20, 1000, 20_000]);
    expect(frequenciesOf('5 kHz', 'floor', 48_000)).toEqual([5000]);
    expect(frequenciesOf(undefined, 'floor', null)).toBeNull();
  });

  it.each([
    ['20', 'floor', /Give the unit/],
    ['1 Hz', 'floor', /a frequency of 1 Hz cannot be used\. Frequencies lie from 10 Hz to 14545 Hz/],
    ['20 kHz', 'floor', /a frequency of 20000 Hz cannot be used/],
    ['5 kHz', 'response', /relative to 1 kHz, and --frequency names nothing below it/],
    ['20 Hz, 1001 Hz', 'response', /relative to 1 kHz, and --frequency names nothing above it/],
    [count(101, (i) => `${20 + i} Hz`).join(), 'floor', /101 frequencies are too many\. Name 100 at most/],
  ] as const)('are refused before anything is played: %s for a %s', (text, what, reason) => {
    expect(() => frequenciesOf(text, what, 32_000)).toThrow(reason);
  });
});

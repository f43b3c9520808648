import { describe, expect, it } from 'vitest';
import { partsOf, windowsOf } from '../../src/safety/windows.js';
import type { Envelope } from '../../src/signal/envelope.js';
import { silentStimulus } from '../../src/signal/stimulus.js';

const RATE = 48_000;
/** Lines of whole hertz in a record of one second. */
const lines = (cycles: readonly number[], envelope: Envelope = { kind: 'steady' }) => ({
  ...silentStimulus(RATE, RATE),
  lines: cycles.map((count) => ({
    tone: { cycles: count, frames: RATE, rate_Hz: RATE, frequency_Hz: count, nominal_Hz: count },
    share: 1 / cycles.length,
  })),
  envelope,
});
const burst = (cycles: number, on_s: number, period_s: number) =>
  lines([cycles], { kind: 'burst', on_s, period_s });
/** 480 frames in 24 000, of which 48 rise and 48 fall. */
const SHORT = burst(1000, 0.01, 0.5);

describe('windowsOf', () => {
  it('is 50 ms of silence, rounded up to a frame', () => {
    const whole = (frames: number) => ({ frames, whole: frames });
    expect(windowsOf(null, RATE)).toEqual({ on: whole(2400), off: whole(2400) });
    expect(windowsOf(silentStimulus(4096, 11_025), 11_025)).toEqual({ on: whole(552), off: whole(552) });
  });

  it.each([
    // Whole cycles of 48, 48.05, 2400, 3200 and 2526.3 frames, at least 2400 of them.
    [[1000], 2400],
    [[999], 2402],
    [[20], 2400],
    [[15], 3200],
    [[19], 2526],
    // Of several lines by the slowest line or beat: 130, 10, 30 and 200 Hz.
    [[130, 1000], 2585],
    [[1000, 1010], 4800],
    [[1030, 1000], 3200],
    [[2000, 7000, 2200], 2400],
  ])('of lines of %j Hz is %d frames', (cycles, frames) => {
    expect(windowsOf(lines(cycles), RATE)).toEqual({
      on: { frames, whole: frames },
      off: { frames: 2400, whole: 2400 },
    });
  });

  it.each([
    // 384 frames stand: 8 cycles of 48, 8 of 43.6 (349.1), less than one of 480.
    ['1 kHz', SHORT, 384, 2400],
    ['1.1 kHz', burst(1100, 0.01, 0.5), 349, 2400],
    ['100 Hz', burst(100, 0.01, 0.5), 384, 2400],
    ['1 kHz with gaps of 20 ms', burst(1000, 0.01, 0.03), 384, 960],
    ['1 kHz for longer than a window', burst(1000, 0.2, 0.5), 2400, 2400],
  ])('of bursts of %s is what stands between the edges, and the gap', (_, of, on, off) => {
    expect(windowsOf(of, RATE)).toEqual({
      on: { frames: on, whole: 2400 },
      off: { frames: off, whole: 2400 },
    });
  });
});

describe('partsOf', () => {
  const part = (kind: string, from: number, to: number) => ({ kind, from, to });

  it('is the whole block of what is not gated', () => {
    expect(partsOf(lines([1000]), RATE, 77, 1024)).toEqual([part('on', 0, 1024)]);
    expect(partsOf(silentStimulus(4096, RATE), RATE, 77, 1024)).toEqual([part('off', 0, 1024)]);
    expect(partsOf(null, RATE, 77, 1024)).toEqual([part('off', 0, 1024)]);
  });

  it('cuts a burst at its edges and its end, from wherever the block begins', () => {
    expect(partsOf(SHORT, RATE, 24_000, 1000)).toEqual([
      part('edge', 0, 48),
      part('on', 48, 432),
      part('edge', 432, 480),
      part('off', 480, 1000),
    ]);
    const around = (start: number) => partsOf(SHORT, RATE, start, 2);
    expect(around(47)).toEqual([part('edge', 0, 1), part('on', 1, 2)]);
    expect(around(431)).toEqual([part('on', 0, 1), part('edge', 1, 2)]);
    expect(around(479)).toEqual([part('edge', 0, 1), part('off', 1, 2)]);
    for (const start of [-1, 23_999]) expect(around(start)).toEqual([part('off', 0, 1), part('edge', 1, 2)]);
  });
});

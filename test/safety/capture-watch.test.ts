import { describe, expect, it } from 'vitest';
import { CaptureFrozen, CaptureNotFinite, CaptureWatch } from '../../src/safety/capture-watch.js';
import { coherentTone } from '../../src/signal/coherent-tone.js';
import { seededRandom } from '../../src/signal/dither.js';
import { type Stimulus, samplesOf, steady, stimulus, twoTone } from '../../src/signal/stimulus.js';

const RATE = 48_000;
const TONE = coherentTone({ nominal_Hz: 1000, rate_Hz: RATE });

/** A tone quantised as a converter does it, without any noise. */
function tone(from: number, count: number, peak = 0.5, bits = 16): Float64Array {
  const steps = 2 ** (bits - 1);
  return Float64Array.from({ length: count }, (_, n) => {
    const turns = (TONE.cycles * ((from + n) % TONE.frames)) / TONE.frames;
    return Math.round(steps * peak * Math.sin(2 * Math.PI * turns)) / steps;
  });
}

/** Shows blocks of `length` frames until one is refused; gives the frames that had been shown then, or null. */
function refusedAfter(
  watch: CaptureWatch,
  length: number,
  most: number,
  samples: (from: number) => Float64Array,
): number | null {
  for (let from = 0; from < most; from += length)
    try {
      watch.look({ start: from, channels: [samples(from)] });
    } catch (error) {
      expect(error).toBeInstanceOf(CaptureFrozen);
      return from + length;
    }
  return null;
}

describe('A capture', () => {
  it.each([Number.NaN, Number.POSITIVE_INFINITY])('with a sample that is %s ends the run', (value) => {
    const watch = new CaptureWatch(RATE);
    const bad = tone(0, 1024);
    bad[517] = value;
    watch.look({ start: 0, channels: [tone(0, 1024), tone(0, 1024)] });
    expect(() => watch.look({ start: 1024, channels: [tone(1024, 1024), bad] })).toThrow(CaptureNotFinite);
    expect(() => watch.look({ start: 0, channels: [tone(0, 64)], currents: [bad] })).toThrow(
      'current shunt of channel 1',
    );
  });

  it.each([64, 480, 1024, 4096])(
    'whose block of %i frames comes in again and again ends the run within 0.25 s',
    (length) => {
      const begins = 10 * length;
      const at = refusedAfter(new CaptureWatch(RATE), length, RATE, (from) =>
        tone(Math.min(from, begins), length),
      );
      expect(at).not.toBeNull();
      // The stretch that must be the same, and the block that it ends in.
      expect(at! - begins - length).toBeLessThanOrEqual(4096 + length);
      expect((at! - begins) / RATE).toBeLessThan(0.25);
    },
  );

  it('that goes round in a buffer of another length than its blocks ends the run', () => {
    const [length, lap] = [1024, 6000];
    const at = refusedAfter(new CaptureWatch(RATE), length, 2 * RATE, (from) =>
      Float64Array.from({ length }, (_, n) => tone((from + n) % lap, 1)[0]!),
    );
    expect(at).not.toBeNull();
    expect(at! - lap).toBeLessThanOrEqual(2 * 4096 + length);
  });

  it.each([0.5, 1e-3, 1e-6])('of a tone of peak %f without noise, two records long, is accepted', (peak) => {
    for (const bits of [16, 24])
      expect(
        refusedAfter(new CaptureWatch(RATE), 2048, 2 * TONE.frames, (from) => tone(from, 2048, peak, bits)),
      ).toBeNull();
  });

  it('of silence, of a constant and of noise is accepted', () => {
    const random = seededRandom(7);
    for (const value of [() => 0, () => 0.25, () => random() - 0.5])
      expect(
        refusedAfter(new CaptureWatch(RATE), 1024, RATE, () => Float64Array.from({ length: 1024 }, value)),
      ).toBeNull();
  });

  it('may begin again as it began once another play has begun', () => {
    const watch = new CaptureWatch(RATE);
    for (let play = 0; play < 3; play += 1) {
      watch.restart();
      for (let from = 0; from < 8192; from += 2048) watch.look({ start: from, channels: [tone(from, 2048)] });
    }
    expect(() => watch.look({ start: 8192, channels: [tone(8192, 2048)] })).not.toThrow();
  });

  const at = (nominal_Hz: number) => coherentTone({ nominal_Hz, rate_Hz: RATE });
  const bursts = (period_s: number) =>
    stimulus({
      lines: [{ tone: at(1000), share: 1 }],
      envelope: { kind: 'burst', on_s: 0.01, period_s },
    });

  // No stimulus repeats itself within a record: every line has a number of cycles without a factor in common with its length.
  it.each<[string, Stimulus]>([
    ['bursts ten times in the longest stretch that is looked for', bursts(0.03)],
    ['bursts with hardly a gap between them', bursts(0.011)],
    ['two lines', twoTone(at(1000), at(1100), [1, 1])],
    ['a sine', steady(at(1000))],
  ])('of %s, without any noise, is none that stands still', (_, of) => {
    const steps = 2 ** 15;
    const shown = (from: number) =>
      samplesOf(of, from, 480).map((sample) => Math.round(steps * 0.5 * sample) / steps);
    expect(refusedAfter(new CaptureWatch(RATE), 480, 2 * RATE, shown)).toBeNull();
  });
});

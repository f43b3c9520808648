import { describe, expect, it } from 'vitest';
import { breaksIn } from '../../../src/runner/capture/breaks-in.js';
import { coherentTone } from '../../../src/signal/coherent-tone.js';
import { seededRandom } from '../../../src/signal/dither.js';
import {
  type Stimulus,
  samplesOf,
  silentStimulus,
  steady,
  stimulus,
  twoTone,
} from '../../../src/signal/stimulus.js';

const tone = (nominal_Hz: number) => coherentTone({ nominal_Hz, rate_Hz: 48_000 });
const BURSTS = stimulus({
  lines: [{ tone: tone(1000), share: 1 }],
  envelope: { kind: 'burst', on_s: 0.01, period_s: 0.05 },
});
/** Somewhere in the middle of a burst, and of the record's cycles. */
const FROM = 50_017;

/** A record that begins in the middle of the play, with a sample lost half way. */
function record(of: Stimulus, lost: number): Float64Array {
  const random = seededRandom(9);
  const samples = samplesOf(of, FROM, 40_000);
  return Float64Array.from({ length: 32_768 }, (_, n) => {
    return 0.5 * samples[n < 16_000 ? n : n + lost]! + 1e-4 * (random() - 0.5);
  });
}

describe('Breaks', () => {
  it.each<[string, Stimulus]>([
    ['a sine', steady(tone(1000))],
    ['two lines', twoTone(tone(1000), tone(7000), [4, 1])],
    ['bursts of 10 ms', BURSTS],
  ])('are found in %s, and none where there is none', (_, of) => {
    expect(breaksIn(record(of, 0), of, FROM)).toEqual([]);
    const [gap, ...more] = breaksIn(record(of, 1), of, FROM);
    expect(more).toEqual([]);
    expect(gap!.slip_frames).toBeCloseTo(1, 1);
    expect(Math.abs(gap!.frame - 16_000)).toBeLessThan(2 * 2400);
  });

  it('are none in silence', () => {
    const nothing = silentStimulus(32_768, 48_000);
    expect(breaksIn(record(nothing, 1), nothing, FROM)).toEqual([]);
  });
});

import { describe, expect, it } from 'vitest';
import { gapsByStimulus, type Stretch } from '../../src/measure/gaps-by-stimulus.js';
import { coherentTone } from '../../src/signal/coherent-tone.js';
import { seededRandom } from '../../src/signal/dither.js';
import { gateOf } from '../../src/signal/envelope.js';
import { type Stimulus, samplesOf, stimulus, twoTone } from '../../src/signal/stimulus.js';

const RATE = 48_000;
const tone = (nominal_Hz: number, minimumFrames = 0) =>
  coherentTone({ nominal_Hz, rate_Hz: RATE, minimumFrames });
const FRAMES = 65_536;

/** 60 Hz and 7 kHz, 4 to 1. */
const FAR_APART = twoTone(tone(60), tone(7000, tone(60).frames), [4, 1]);
const CLOSE = twoTone(tone(19_000, FRAMES), tone(20_000, FRAMES), [1, 1]);
const BURSTS = stimulus({
  lines: [{ tone: tone(1000), share: 1 }],
  envelope: { kind: 'burst', on_s: 0.02, period_s: 0.1 },
});

const linesOf = ({ lines }: Stimulus) => lines.map(({ tone: { cycles, frames } }) => cycles / frames);

/** Where a stimulus stands. */
function stretchesOf({ envelope, rate_Hz }: Stimulus): Stretch[] {
  const gate = gateOf(envelope, rate_Hz);
  if (!gate) return [{ from: 0, to: FRAMES }];
  const bursts = Math.floor(FRAMES / gate.period);
  return Array.from({ length: bursts }, (_, i) => ({
    from: i * gate.period + gate.edge,
    to: i * gate.period + gate.on - gate.edge,
  }));
}

/** A capture that has lost so many samples at a place (negative: that many were repeated), through a unit and with noise. */
function captured(of: Stimulus, lost: { at: number; frames: number } | null, noise = 1e-3): Float64Array {
  const random = seededRandom(5);
  const whole = samplesOf(of, 0, 2 * FRAMES);
  return Float64Array.from({ length: FRAMES }, (_, n) => {
    const place = lost !== null && n >= lost.at ? n + lost.frames : n;
    // A unit that clips a little and adds noise.
    const driven = 0.7 * Math.tanh(1.2 * whole[place]!);
    return driven + noise * (random() - 0.5) + 0.01;
  });
}

const found = (of: Stimulus, samples: Float64Array) => gapsByStimulus(samples, linesOf(of), stretchesOf(of));

describe.each([
  ['two lines far apart', FAR_APART, 2 * 1600],
  ['two lines close together', CLOSE, 960],
  ['bursts', BURSTS, 2 * 4800],
] as const)('A capture of %s', (_, of, near) => {
  it('has no break when nothing is lost, also when its level changes', () => {
    expect(found(of, captured(of, null))).toEqual([]);
    const risen = captured(of, null).map((sample, n) => (n < 30_000 ? 0.9 : 1) * sample);
    expect(found(of, risen)).toEqual([]);
  });

  it.each([1, -1, 7, -100])('shows %d lost samples by the turn of its lines', (frames) => {
    const at = 33_000;
    const gaps = found(of, captured(of, { at, frames }));
    expect(gaps).toHaveLength(1);
    expect(Math.abs(gaps[0]!.frame - at)).toBeLessThan(near);
    // Known to within a period of the slowest of the lines and of their beat.
    const period = of === BURSTS ? 1 / linesOf(of)[0]! : of === CLOSE ? 48 : 800;
    const off = gaps[0]!.slip_frames! - frames;
    expect(Math.abs(off - period * Math.round(off / period))).toBeLessThan(0.1);
  });

  it('shows a stretch that has gone silent', () => {
    const { from } = stretchesOf(of).findLast((stretch) => stretch.from <= 30_000)!;
    const at = Math.max(from, of === BURSTS ? from : 30_000);
    const samples = captured(of, null);
    samples.fill(0, at, at + (of === FAR_APART ? 2400 : 600));
    const gaps = found(of, samples);
    expect(gaps.length).toBeGreaterThan(0);
    expect(Math.abs(gaps[0]!.frame - at)).toBeLessThan(near);
  });
});

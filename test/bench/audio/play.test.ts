import { describe, expect, it } from 'vitest';
import { marker } from '../../../src/bench/audio/marker.js';
import { Play } from '../../../src/bench/audio/play.js';
import { seededRandom } from '../../../src/signal/dither.js';

const RATE = 48_000;
const CHUNK = 512;

/** A stream in memory: what is rendered comes back `lag` frames later through `unit`. */
function stream(options: {
  lag: number;
  unit?: (samples: Float64Array, channel: number) => Float64Array;
  driven?: number[];
  knownLag?: number | null;
}) {
  const { lag, unit = (samples) => samples, driven = [1, 2], knownLag = null } = options;
  const asked: number[] = [];
  const play = new Play({
    source: {
      horizonFrames: 1,
      render: (start, frames) => {
        asked.push(start);
        const ramp = Float64Array.from({ length: frames }, (_, i) => (start + i + 1) / 2 ** 20);
        return [ramp, ramp.slice()];
      },
    },
    markerPeaks: [1, 2].map((channel) => (driven.includes(channel) ? 0.003 : 0)),
    rate_Hz: RATE,
    bits: 32,
    random: seededRandom(1),
    knownLag,
    queuedFrames: 5120,
  });
  /** The stream had played 7000 frames and captured 6000 when the play began. */
  const written = 7000;
  let captured = 6000;
  const inFlight = [0, 1].map(() => new Float64Array(written + lag - captured));
  play.started({ written, captured });
  const step = () => {
    const rendered = play.render(CHUNK);
    for (const [i, samples] of rendered.entries()) {
      inFlight[i] = Float64Array.of(...inFlight[i]!, ...unit(samples, i));
    }
    play.captured(
      captured,
      inFlight.map((samples) => samples.slice(0, CHUNK)),
    );
    for (const i of [0, 1]) inFlight[i] = inFlight[i]!.slice(CHUNK);
    captured += CHUNK;
  };
  return { play, asked, step };
}

describe('a play', () => {
  it('opens with the marker on driven channels only, before its source is asked for anything', () => {
    const { play, asked } = stream({ lag: 3072, driven: [2] });
    const [left, right] = play.render(4096);
    expect(left!.every((sample) => sample === 0)).toBe(true);
    marker(RATE).forEach((sample, i) => {
      expect(Math.abs(right![i]! - 0.003 * sample)).toBeLessThan(2 ** -30);
    });
    expect(asked).toEqual([]);
  });

  it.each([1, 1536, 3072, 9001])('begins with frame 0 of its source at a lag of %i', async (lag) => {
    const { play, step } = stream({ lag });
    for (let i = 0; i < 100; i += 1) step();
    expect(play.alignment).toEqual({ lag, heardOn: 1 });
    const first = await play.next();
    expect(first.start).toBe(0);
    first.channels[0]!.forEach((sample, i) => {
      expect(Math.abs(sample - (i + 1) / 2 ** 20)).toBeLessThan(2 ** -29);
    });
    const second = await play.next();
    expect(second.start).toBe(first.channels[0]!.length);
  });

  it('hears the marker on whichever channel lives', () => {
    const dead = (samples: Float64Array, channel: number) =>
      channel === 0 ? new Float64Array(samples.length) : samples;
    const { play, step } = stream({ lag: 2047, unit: dead });
    for (let i = 0; i < 100; i += 1) step();
    expect(play.alignment).toEqual({ lag: 2047, heardOn: 2 });
  });

  it.each([
    [1234, 1234],
    // 5120 frames were under way when frame 7000 was written and frame 6000 captured.
    [null, 6000 + 5120 - 7000],
  ])('goes on without the marker: a known lag of %s makes %i', async (knownLag, lag) => {
    const { play, step } = stream({ lag: 3072, unit: (samples) => samples.fill(0), knownLag });
    for (let i = 0; i < 200; i += 1) step();
    expect(play.alignment).toEqual({ lag, heardOn: null });
    expect((await play.next()).start).toBe(0);
  });

  it('ends when the sound library tells of lost samples', async () => {
    const { play, step } = stream({ lag: 3072 });
    for (let i = 0; i < 100; i += 1) step();
    await play.next();
    play.trouble('input overflow');
    await expect(play.next()).rejects.toMatchObject({ code: 'DROPOUT', exitStatus: 4 });
    await expect(play.next()).rejects.toThrow('input overflow');
  });

  it('knows whether its source has begun, before which it can be played again whole', async () => {
    const { play } = stream({ lag: 3072 });
    expect(play.hasBegun).toBe(false);
    play.trouble('output underflow');
    await expect(play.next()).rejects.toMatchObject({ code: 'DROPOUT' });
    expect(play.hasBegun).toBe(false);
    const other = stream({ lag: 3072 });
    for (let i = 0; i < 100; i += 1) other.step();
    expect(other.play.hasBegun).toBe(true);
  });

  it('ends when its blocks are not fetched for 30 s', async () => {
    const { play, step } = stream({ lag: 3072 });
    for (let i = 0; i < 31 * Math.ceil(RATE / CHUNK) + 60; i += 1) step();
    await expect(play.next()).rejects.toMatchObject({ code: 'CAPTURE_OVERRUN' });
  });
});

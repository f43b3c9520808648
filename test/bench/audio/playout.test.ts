import { describe, expect, it } from 'vitest';
import { Playout } from '../../../src/bench/audio/playout.js';

const geometry = { bufferFrames: 16, chunkFrames: 8, queueChunks: 4, creditFrames: 40, fadeFrames: 4 };
const SILENCE = new Array(8).fill(0);

/** Mono, 32 bits: frame number `n` of the pipe holds `1000 * n`. */
function frames(from: number, to: number): Buffer {
  const bytes = Buffer.alloc(4 * (to - from));
  for (let n = from; n < to; n += 1) bytes.writeInt32LE(1000 * n, 4 * (n - from));
  return bytes;
}

function playout() {
  const out = new Playout({ width: 1, bits: 32, geometry });
  const next = () => {
    const chunk = out.next();
    return chunk && Array.from({ length: 8 }, (_, i) => chunk.readInt32LE(4 * i));
  };
  return { out, next };
}

const sent = (from: number, to: number) => Array.from({ length: to - from }, (_, i) => 1000 * (from + i));
/** A raised cosine of four frames over what was sent from frame `from` on, and silence after it. */
const ramp = (from: number) => [
  ...sent(from, from + 4).map((code, i) => Math.round((code * (1 + Math.cos((Math.PI * (i + 1)) / 4))) / 2)),
  ...[0, 0, 0, 0],
];

describe('what the host process plays', () => {
  it('is silence before a play, in chunks of full size', () => {
    const { out, next } = playout();
    expect(next()).toEqual(SILENCE);
    expect(out.playing).toBe(false);
  });

  it('begins only when there is something to hold back, and then plays every frame once', () => {
    const { out, next } = playout();
    out.push(frames(1, 12));
    expect(next()).toEqual(SILENCE);
    out.push(frames(12, 21));
    expect(next()).toEqual(sent(1, 9));
    expect(out.playing).toBe(true);
    expect(next()).toEqual(sent(9, 17));
    expect(out.accepted).toBe(16);
  });

  it('waits when frames are late, and goes on when they come', () => {
    const { out, next } = playout();
    out.push(frames(1, 13));
    expect(next()).toEqual(sent(1, 9));
    expect(next()).toBeNull();
    out.push(frames(13, 21));
    expect(next()).toEqual(sent(9, 17));
  });

  it('ramps down from where it is when frames fail to come, and trusts no more of them', () => {
    const { out, next } = playout();
    out.push(frames(1, 13));
    next();
    expect(next()).toBeNull();
    out.starve();
    expect(next()).toEqual(ramp(9));
    expect(out.playing).toBe(false);
    out.push(frames(13, 60));
    expect(next()).toEqual(SILENCE);
    expect(out.accepted).toBe(59);
  });

  it('ramps down when told to and drops what was sent before, also what comes in later', () => {
    const { out, next } = playout();
    out.push(frames(1, 31));
    next();
    out.hush(50);
    expect(next()).toEqual(ramp(9));
    out.push(frames(31, 51));
    expect(next()).toEqual(SILENCE);
    expect(out.accepted).toBe(50);
  });

  it('plays what follows on the dropped frames as a new play', () => {
    const { out, next } = playout();
    out.push(frames(1, 31));
    next();
    // 50 frames were sent in all, of which 30 have come; a new play follows in the same pipe.
    out.hush(50);
    out.push(frames(31, 63));
    expect(next()).toEqual(ramp(9));
    expect(next()).toEqual(sent(51, 59));
    expect(out.playing).toBe(true);
  });

  it('keeps a play that came in together with the frames to drop', () => {
    const { out, next } = playout();
    out.push(frames(1, 41));
    out.hush(20);
    expect(next()).toEqual(sent(21, 29));
  });

  it('stays silent when told to hush while silent', () => {
    const { out, next } = playout();
    out.hush(0);
    expect(next()).toEqual(SILENCE);
    expect(out.playing).toBe(false);
  });

  it('takes bytes cut in the middle of a sample', () => {
    const { out, next } = playout();
    const bytes = frames(1, 21);
    for (let at = 0; at < bytes.length; at += 7) out.push(bytes.subarray(at, at + 7));
    expect(next()).toEqual(sent(1, 9));
    expect(next()).toEqual(sent(9, 17));
  });
});

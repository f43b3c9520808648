import { Duplex, PassThrough } from 'node:stream';
import { setImmediate as turn } from 'node:timers/promises';
import { describe, expect, it } from 'vitest';
import { HostStream } from '../../../src/bench/audio/host-stream.js';
import type { Naudiodon } from '../../../src/bench/audio/naudiodon.js';
import type { FromHost } from '../../../src/bench/audio/protocol.js';
import { streamGeometry } from '../../../src/bench/audio/stream-geometry.js';
import { PauseWatch } from '../../../src/bench/pause-watch.js';
import { HandClocks } from '../hand-clocks.js';

const geometry = streamGeometry(48_000);
const FRAME_BYTES = 8;
const TONE = Buffer.alloc(20 * geometry.chunkFrames * FRAME_BYTES, 0x11);

/** A host stream on a sound device of this test's making, which takes a chunk whenever it is told to. */
function stand() {
  const clocks = new HandClocks();
  const chunks: Buffer[] = [];
  let taken: () => void = () => {};
  const io = Object.assign(
    new Duplex({
      read() {},
      write(chunk: Buffer, _, done) {
        chunks.push(chunk);
        taken = done;
      },
    }),
    { start() {} },
  );
  const device = { id: 0, name: 'loop', maxInputChannels: 2, maxOutputChannels: 2 };
  const naudiodon = {
    getDevices: () => [{ ...device, defaultSampleRate: 48_000, hostAPIName: 'test' }],
    AudioIO: () => io,
  } as unknown as Naudiodon;
  const told: FromHost[] = [];
  let vanished = false;
  const request = {
    playDevice: 'loop',
    captureDevice: 'loop',
    playChannels: 2,
    captureChannels: 2,
    rate_Hz: 48_000,
    bits: 32 as const,
    geometry,
  };
  const stream = new HostStream(
    naudiodon,
    request,
    new PassThrough(),
    (message) => told.push(message),
    () => {
      vanished = true;
      // What the process does not live to see.
      stream.close();
    },
    new PauseWatch(clocks),
  );
  void stream.run();
  const kinds = () => told.map(({ kind }) => kind);
  return {
    clocks,
    stream,
    kinds,
    told,
    gone: () => vanished,
    /** The device takes one chunk. */
    async take() {
      const before = chunks.length;
      taken();
      for (let turns = 0; turns < 50 && chunks.length === before && !vanished; turns += 1) await turn();
      return chunks.at(-1)!;
    },
    sounding: () => chunks.at(-1)!.some((byte) => byte !== 0),
  };
}

describe('HostStream after a pause', () => {
  it.each([
    ['the computer slept', (clocks: HandClocks) => clocks.sleep(3000)],
    ['the process was stopped', (clocks: HandClocks) => clocks.run(3000)],
  ])('hands out nothing more of a tone, says so and ends the process: %s', async (_, pause) => {
    const host = stand();
    host.stream.push(TONE);
    await host.take();
    await host.take();
    expect(host.sounding()).toBe(true);
    const handedOut = host.kinds().filter((kind) => kind === 'progress').length;
    pause(host.clocks);
    await host.take();
    expect(host.gone()).toBe(true);
    const last = host.told.find((message) => message.kind === 'stood-still');
    expect(last).toMatchObject({ pause_ms: 3000 });
    expect(host.kinds().filter((kind) => kind === 'progress').length).toBeLessThanOrEqual(handedOut + 1);
  });

  it('goes on after a pause of 100 ms, as a busy computer makes them', async () => {
    const host = stand();
    host.stream.push(TONE);
    await host.take();
    host.clocks.run(100);
    await host.take();
    await host.take();
    expect(host.gone()).toBe(false);
    expect(host.sounding()).toBe(true);
    host.stream.close();
  });

  it('goes on in silence, in which nothing can come back', async () => {
    const host = stand();
    await host.take();
    host.clocks.sleep(3000);
    await host.take();
    await host.take();
    expect(host.gone()).toBe(false);
    expect(host.kinds()).not.toContain('stood-still');
    host.stream.close();
  });
});

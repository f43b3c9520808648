import { cpSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as delay } from 'node:timers/promises';
import { fileURLToPath, pathToFileURL } from 'node:url';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { AudioBench } from '../../src/bench/audio/audio-bench.js';
import { listDevices } from '../../src/bench/audio/list-devices.js';
import type { SoundBlock } from '../../src/bench/bench.js';
import { analyse } from '../../src/measure/analyse.js';
import { coherentTone } from '../../src/signal/coherent-tone.js';
import { whole } from '../bench/whole.js';
import { audioSetup, record, sourceOf, type Wiring, withBench, worstDifference } from './bench-on.js';
import { Rig } from './rig.js';

let rig: Rig;
beforeEach(() => {
  rig = new Rig();
});
afterEach(() => rig.stop());

const tone = coherentTone({ nominal_Hz: 1000, rate_Hz: 48_000 });
const sine = (frame: number) =>
  0.5 * Math.sin((2 * Math.PI * ((tone.cycles * frame) % tone.frames)) / tone.frames);
const source = sourceOf(2, (_, frame) => sine(frame));

async function opening(wiring: Wiring): Promise<unknown> {
  const bench = new AudioBench(audioSetup(wiring));
  try {
    return await bench.open().then(
      () => null,
      (fault: unknown) => fault,
    );
  } finally {
    await bench.close();
  }
}

describe('devices', () => {
  it('are listed with their channels', async () => {
    const devices = await listDevices();
    expect(devices.map(({ name }) => name)).toEqual(expect.arrayContaining(['loop', 'rig', 'play-only']));
    expect(devices.find(({ name }) => name === 'play-only')).toMatchObject({ inputs: 0, outputs: 32 });
    expect(devices.find(({ name }) => name === 'loop')).toMatchObject({
      system: 'ALSA',
      inputs: 32,
      outputs: 32,
    });
  });

  it('that are not there are refused by name, never replaced by another', async () => {
    const fault = await opening({ device: 'Loop' });
    expect(fault).toMatchObject({ code: 'DEVICE_NOT_FOUND', exitStatus: 4 });
    expect((fault as Error).message).toMatch(/"Loop".*Devices that can play: "loop", "rig"/);
  });

  it('with too few channels are refused', async () => {
    expect(await opening({ width: 33 })).toMatchObject({ code: 'DEVICE_REFUSED', exitStatus: 4 });
    expect(await opening({ device: 'play-only' })).toMatchObject({ code: 'DEVICE_REFUSED' });
  });

  it('cannot be listed without naudiodon, which is said in one sentence with its cure', async () => {
    const bare = mkdtempSync(join(tmpdir(), 'ohmest-bare-'));
    try {
      const dist = fileURLToPath(new URL('../../dist', import.meta.url));
      cpSync(dist, join(bare, 'dist'), { recursive: true });
      writeFileSync(join(bare, 'package.json'), '{"type":"module"}');
      const lister = await import(pathToFileURL(join(bare, 'dist/bench/audio/list-devices.js')).href);
      const fault = (await lister.listDevices().catch((error: unknown) => error)) as Error;
      expect(fault).toMatchObject({ code: 'AUDIO_UNAVAILABLE', exitStatus: 4 });
      expect(fault.message).toContain('npm install naudiodon');
      expect(fault.message).not.toContain('\n');
    } finally {
      rmSync(bare, { recursive: true });
    }
  });
});

describe('a device that goes away while it plays', () => {
  /** Plays, does `harm` once the tone is under way, and gives back what ended the play. */
  async function harmed(harm: () => void): Promise<unknown> {
    let done = false;
    return withBench({}, async (bench) => {
      try {
        return await whole(async () => {
          for await (const block of bench.play(source)) {
            if (block.start < 12_000 || done) continue;
            done = true;
            harm();
          }
          return null;
        });
      } catch (fault) {
        expect(done).toBe(true);
        // The bench stays at fault, and says so again.
        await expect(bench.idle(1)).rejects.toBe(fault);
        return fault;
      }
    });
  }

  it('is a stall when its sink is removed', async () => {
    const fault = await harmed(() => rig.pactl('unload-module', 'module-null-sink'));
    expect(fault).toMatchObject({ code: 'DEVICE_STALLED', exitStatus: 4 });
  });

  it('is a stall when the sound server is killed', async () => {
    const fault = await harmed(() => process.kill(rig.serverPid, 'SIGKILL'));
    expect(fault).toMatchObject({ code: 'DEVICE_STALLED', exitStatus: 4 });
  });

  it('is noticed while the bench waits in silence, too', async () => {
    await withBench({}, async (bench) => {
      const waiting = bench.idle(60);
      process.kill(rig.serverPid, 'SIGKILL');
      await expect(waiting).rejects.toMatchObject({ code: 'DEVICE_STALLED' });
    });
  });
});

describe('a sound server that holds its breath for 50 ms', () => {
  it('never harms a capture unseen: the bench or the gap check tells', async () => {
    const frames = 2 * tone.frames;
    let harmed = 0;
    for (let trial = 0; trial < 6; trial += 1) {
      await withBench({}, async (bench) => {
        const captured = new Float64Array(frames);
        const take = ({ start, channels }: SoundBlock) =>
          captured.set(channels[0]!.subarray(0, frames - start), start);
        let stopped = false;
        try {
          for await (const block of bench.play(source)) {
            take(block);
            if (block.start + block.channels[0]!.length >= frames) break;
            if (block.start < frames / 3 || stopped) continue;
            stopped = true;
            process.kill(rig.serverPid, 'SIGSTOP');
            await delay(50);
            process.kill(rig.serverPid, 'SIGCONT');
          }
        } catch (fault) {
          expect(fault).toMatchObject({ exitStatus: 4 });
          harmed += 1;
          return;
        }
        if (worstDifference(captured, sine) <= 1.5 * 2 ** -23) return;
        harmed += 1;
        const [reading] = analyse([captured], {
          rate_Hz: 48_000,
          tone: { ...tone, frames, cycles: 2 * tone.cycles },
        });
        expect(reading!.gaps.length).toBeGreaterThan(0);
      });
    }
    expect(harmed).toBeGreaterThan(0);
  });

  it('leaves a bench that can play again, with larger buffers where the device ran out of samples, and says so once', async () => {
    await withBench({}, async (bench) => {
      let ranOut = false;
      try {
        for await (const block of bench.play(source)) {
          if (block.start > 48_000) break;
          if (block.start !== 0) continue;
          process.kill(rig.serverPid, 'SIGSTOP');
          await delay(50);
          process.kill(rig.serverPid, 'SIGCONT');
        }
      } catch (fault) {
        expect(fault).toMatchObject({ code: 'DROPOUT' });
        ranOut = /the sound library reports/.test((fault as Error).message);
      }
      const [samples] = await record(bench, source, 24_000);
      expect(worstDifference(samples!, sine)).toBeLessThanOrEqual(1.5 * 2 ** -23);
      const told = bench.takeNotes().filter((note) => note.includes('larger buffers'));
      // What is recorded afterwards may lose samples of itself on a busy machine, and be played again.
      expect(told.length).toBeLessThanOrEqual(1);
      if (ranOut)
        expect(told).toEqual(['the sound device ran out of samples: it is opened again with larger buffers']);
      expect(bench.takeNotes()).toEqual([]);
    });
  });
});

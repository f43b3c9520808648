import { mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import type { SoundBlock } from '../../../src/bench/bench.js';
import { CommandBench } from '../../../src/bench/command/command-bench.js';
import { decodeWav } from '../../../src/signal/decode-wav.js';
import { benchContract } from '../contract.js';
import { lockIn, rampAt, TestTone } from '../test-tone.js';
import { type CommandSetup, commandSetup, fixture } from './command-setup.js';

const S = '{stimulus}';
const R = '{response}';

const contract = (name: string, setup: CommandSetup, gain: number, late_frames = 0) =>
  benchContract(name, async () => ({ bench: new CommandBench(commandSetup(setup)) }), {
    gain,
    late_frames,
    misfitRatio: 1e-6,
    gainTolerance: 1e-6,
    frequency_ppm: 1e-3,
    idleRatio: 1e-9,
    breakRatio: 5e-4,
    realTime: setup.energises ?? false,
    ...(setup.taps ? { currentTaps: [1, 2].map((channel) => setup.taps!.includes(channel)) } : {}),
  });

contract('a program that halves its input', { argv: fixture('passes-through', S, R, '0.5') }, 0.5);
contract(
  'a program that is late, of one channel at 44.1 kHz',
  { argv: fixture('delays', S, R, '300'), channels: 1, rate_Hz: 44_100 },
  1,
  300,
);
contract(
  'a program that drives hardware',
  { argv: fixture('plays-in-real-time', S, R), channels: 3, energises: true },
  1,
);

contract(
  'a program that reads the current of channel 2 too',
  { argv: fixture('senses-current', S, R, '2'), taps: [2] },
  1,
);

let folder = '';

beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'ohmest-test-'));
});

afterEach(() => {
  rmSync(folder, { recursive: true });
});

async function opened(setup: CommandSetup): Promise<CommandBench> {
  const bench = new CommandBench(commandSetup(setup));
  await bench.open();
  return bench;
}

/** A tone of half full scale on one channel. */
function steady(): TestTone {
  return new TestTone({ channels: 1, driven: [1], period: 48, level: () => 0.5, horizonFrames: 4096 });
}

async function untilFrame(
  playing: AsyncGenerator<SoundBlock, void, void>,
  frame: number,
): Promise<SoundBlock[]> {
  const blocks: SoundBlock[] = [];
  for (let known = 0; known < frame; ) {
    const block = (await playing.next()).value!;
    blocks.push(block);
    known = block.start + block.channels[0]!.length;
  }
  return blocks;
}

describe('CommandBench', () => {
  it('hands out the channel behind the voltages as the current of the channel that has a tap', async () => {
    const bench = await opened({ argv: fixture('senses-current', S, R, '1'), taps: [2] });
    const tone = new TestTone({
      channels: 2,
      driven: [1],
      period: 48,
      level: () => 0.5,
      horizonFrames: 4096,
    });
    const playing = bench.play(tone);
    const { channels, currents } = (await playing.next()).value!;
    expect(currents![0]).toBeNull();
    channels[0]!.forEach((sample, n) => {
      expect(currents![1]![n]).toBeCloseTo(sample / 8, 8);
    });
    await playing.return();
    await bench.close();
  });

  it('gives the program 32-bit float, one file channel per bench channel, that begins and ends in silence', async () => {
    const argv = fixture('keeps-stimulus', S, R, folder);
    const bench = await opened({ argv, channels: 3, rate_Hz: 96_000 });
    const shape = { channels: 3, driven: [2], period: 96, level: () => 0.5, horizonFrames: 4096 };
    const playing = bench.play(new TestTone(shape));
    await untilFrame(playing, 8192);
    await playing.return();
    await bench.close();
    const stimuli = readdirSync(folder).map((file) => decodeWav(readFileSync(join(folder, file))));
    expect(stimuli).toHaveLength(2);
    for (const { rate_Hz, bits, format, channels } of stimuli) {
      expect({ rate_Hz, bits, format }).toEqual({ rate_Hz: 96_000, bits: 32, format: 'float' });
      expect(channels.map((samples) => Math.max(...samples) > 0.49)).toEqual([false, true, false]);
      for (const at of [0, -1]) expect(Math.abs(channels[1]!.at(at)!)).toBe(0);
    }
  });

  it('lets a change of level made after the blocks of one take take effect in the next', async () => {
    const bench = await opened({ argv: fixture('passes-through', S, R), channels: 1 });
    let level = (_frame: number) => 0.1;
    const source = new TestTone({
      channels: 1,
      driven: [1],
      period: 48,
      level: (frame) => level(frame),
      horizonFrames: 9600,
    });
    const playing = bench.play(source);
    await untilFrame(playing, 9600 + 1440);
    const known = Math.max(...source.asked.map(({ start, frames }) => start + frames));
    level = rampAt(known, 960, 0.1, 0.3);
    const second = await untilFrame(playing, 2 * (9600 + 1440));
    const samples = Float64Array.from(second.flatMap(({ channels }) => [...channels[0]!]));
    const start = second[0]!.start;
    expect(start).toBe(9600 + 1440);
    // The take begins with the old level and ends with the new one, which fills its horizon but the ramp.
    expect(lockIn(samples, 0, 30, 48).amplitude).toBeCloseTo(0.1, 6);
    expect(lockIn(samples, known + 960 - start, 180, 48).amplitude).toBeCloseTo(0.3, 6);
    await playing.return();
    await bench.close();
  });

  it('hands on what the program did to the signal', async () => {
    const bench = await opened({ argv: fixture('clips', S, R, '0.25'), channels: 1 });
    const playing = bench.play(steady());
    const { channels } = (await playing.next()).value!;
    expect(Math.max(...channels[0]!)).toBe(0.25);
    expect(Math.min(...channels[0]!)).toBe(-0.25);
    await playing.return();
    await bench.close();
  });

  it('takes relative paths in argv from the folder of the bench file', async () => {
    const argv = [process.execPath, 'fixtures/passes-through.mjs', S, R];
    const bench = await opened({ argv, channels: 1 });
    const playing = bench.play(steady());
    expect((await playing.next()).value?.start).toBe(0);
    await playing.return();
    await bench.close();
  });

  it('can be opened again after a close in the middle of a play', async () => {
    const bench = await opened({ argv: fixture('passes-through', S, R), channels: 1 });
    const first = bench.play(steady());
    await first.next();
    await bench.close();
    await bench.open();
    await expect(first.next()).rejects.toMatchObject({ code: 'BENCH_CLOSED' });
    const second = bench.play(steady());
    expect((await second.next()).value?.start).toBe(0);
    await second.return();
    await bench.close();
  });

  it.each(['configure', 'idle'] as const)(
    'refuses to %s while it plays and while it is closed',
    async (what) => {
      const bench = await opened({ argv: fixture('passes-through', S, R), channels: 1 });
      const act = {
        configure: () => bench.configure({ load_ohm: 8, driven: [1] }),
        idle: () => bench.idle(1),
      };
      const playing = bench.play(steady());
      await playing.next();
      await expect(act[what]()).rejects.toMatchObject({ code: 'BENCH_BUSY' });
      await playing.return();
      await act[what]();
      await bench.close();
      await expect(act[what]()).rejects.toMatchObject({ code: 'BENCH_CLOSED' });
    },
  );

  it('rests for an hour at once while nothing is energised', async () => {
    const bench = await opened({ argv: fixture('passes-through', S, R) });
    await bench.idle(3600);
    expect(bench.now_s()).toBe(3600);
    expect(bench.energises).toBe(false);
    await bench.close();
  });

  it('refuses a bench file of another kind', () => {
    const setup = commandSetup({ argv: [] });
    const other = { ...setup, interface: { kind: 'simulated' as const, twinPath: '', seed: 1 } };
    expect(() => new CommandBench(other)).toThrow(/simulated interface/);
  });
});

import { describe, expect, it } from 'vitest';
import { ProgramStream } from '../../../src/bench/command/program-stream.js';
import { StreamBench } from '../../../src/bench/command/stream-bench.js';
import { PauseWatch } from '../../../src/bench/pause-watch.js';
import { benchContract } from '../contract.js';
import { HandClocks } from '../hand-clocks.js';
import { TestTone } from '../test-tone.js';
import { type CommandSetup, commandSetup, fixture } from './command-setup.js';

const [O, I, F] = ['{outputs}', '{inputs}', '{frames}'];

const contract = (name: string, setup: CommandSetup, gain: number) =>
  benchContract(name, async () => ({ bench: new StreamBench(commandSetup(setup)) }), {
    gain,
    misfitRatio: 1e-6,
    gainTolerance: 1e-6,
    frequency_ppm: 1e-3,
    idleRatio: 1e-9,
    breakRatio: 5e-4,
    ...(setup.taps ? { currentTaps: [1, 2].map((channel) => setup.taps!.includes(channel)) } : {}),
  });

contract('a program that streams', { argv: fixture('streams', O, I, F, '0.5'), block_s: 0.02 }, 0.5);
contract(
  'a program that streams in blocks of 100 ms, with a current shunt',
  { argv: fixture('streams', O, I, F, '1'), block_s: 0.1, taps: [2] },
  1,
);
const tone = () =>
  new TestTone({ channels: 1, driven: [1], period: 48, level: () => 0.5, horizonFrames: 4096 });

async function faultOf(setup: Partial<CommandSetup> & Pick<CommandSetup, 'argv'>): Promise<unknown> {
  const bench = new StreamBench(commandSetup({ channels: 1, block_s: 0.02, ...setup }));
  await bench.open();
  try {
    for await (const { start } of bench.play(tone())) if (start > 96_000) return null;
  } catch (fault) {
    return fault;
  } finally {
    await bench.close();
  }
  return null;
}

describe('StreamBench', () => {
  it.each([
    ['silent', 'COMMAND_STALLED', /gave no block for 450 ms/],
    ['starves', 'DROPOUT', /got no block in time/],
    ['ends', 'COMMAND_ENDED', /ended with status 3 while it was to play, saying: the fuse has blown/],
    ['nan', 'RESPONSE_NOT_FINITE', /not a finite number in channel 1, block 3/],
    ['twice', 'RESPONSE_TOO_LARGE', /more blocks than it was sent/],
  ])('is a fault when the program is or does: %s', async (fault, code, words) => {
    const argv = fixture('streams', O!, I!, F!, '1', fault, '3');
    const found = await faultOf({ argv, energises: true });
    expect(found).toMatchObject({ code, exitStatus: 4 });
    expect((found as Error).message).toMatch(words);
  });

  it('names a program that is not there', async () => {
    expect(await faultOf({ argv: ['no-such-program'] })).toMatchObject({ code: 'COMMAND_NOT_FOUND' });
  });

  it('ends a play in which this computer slept: nobody watched meanwhile', async () => {
    const clocks = new HandClocks();
    const argv = fixture('streams', '1', '1', '960', '1');
    const place = { folder: '.', where: 'bench.yaml' };
    const program = {
      ...place,
      argv,
      rate_Hz: 48_000,
      frames: 960,
      inputs: 1,
      timeout_s: 20,
      hardware: true,
    };
    const stream = new ProgramStream(program, tone(), new PauseWatch(clocks));
    try {
      await stream.next();
      clocks.sleep(5000);
      const on = async () => {
        for (;;) await stream.next();
      };
      await expect(on()).rejects.toMatchObject({
        code: 'STOOD_STILL',
        message: expect.stringContaining('for 5.0 s'),
      });
    } finally {
      await stream.end();
    }
  });

  it('waits for the first block of a program that only computes no longer than the bench file says', async () => {
    const argv = fixture('streams', O!, I!, F!, '1', 'silent', '0');
    expect(await faultOf({ argv, timeout_s: 0.3 })).toMatchObject({
      code: 'COMMAND_STALLED',
      message: expect.stringContaining('300 ms'),
    });
  });

  it('has no more than 200 ms on the way to hardware, and renders nothing before its time for a program that computes', async () => {
    const ahead = async (energises: boolean) => {
      const argv = fixture('streams', O!, I!, F!, '1');
      const bench = new StreamBench(commandSetup({ argv, channels: 1, block_s: 0.02, energises }));
      const source = tone();
      let most = 0;
      await bench.open();
      for await (const { start } of bench.play(source)) {
        const { start: asked, frames } = source.asked.at(-1)!;
        most = Math.max(most, asked + frames - start);
        if (start >= 48_000) break;
      }
      await bench.close();
      return most;
    };
    expect(await ahead(false)).toBe(960);
    // What has come back already and waits for this consumer counts as well here.
    expect(await ahead(true)).toBeGreaterThanOrEqual(9600);
  });
});

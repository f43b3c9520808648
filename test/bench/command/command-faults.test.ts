import { existsSync, mkdtempSync, readdirSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { CommandBench } from '../../../src/bench/command/command-bench.js';
import { EXIT } from '../../../src/errors/ohmest-error.js';
import { TestTone } from '../test-tone.js';
import { commandSetup, fixture } from './command-setup.js';
import { isAlive, pidFrom } from './processes.js';

let temporary = '';

beforeEach(() => {
  temporary = mkdtempSync(join(tmpdir(), 'ohmest-test-'));
  vi.stubEnv('TMPDIR', temporary);
});

afterEach(() => {
  vi.unstubAllEnvs();
  rmSync(temporary, { recursive: true });
});

const tone = () =>
  new TestTone({ channels: 2, driven: [1], period: 48, level: () => 0.1, horizonFrames: 4096 });

const S = '{stimulus}';
const R = '{response}';
/** 0.1 s before, 4096 frames and 30 ms, and 30 ms after, at 48 kHz. */
const STIMULUS_FRAMES = 4800 + 4096 + 1440 + 1440;

const FAULTS = [
  {
    name: 'no-such-program',
    argv: ['no-such-program', S, R],
    code: 'COMMAND_NOT_FOUND',
    says: /no-such-program was not found/,
  },
  {
    name: 'a file that is no program',
    argv: [import.meta.filename, S, R],
    code: 'COMMAND_NOT_STARTED',
    says: /EACCES/,
  },
  {
    name: 'a folder as program',
    argv: [import.meta.dirname, S, R],
    code: 'COMMAND_NOT_STARTED',
    says: /could not be started/,
  },
  {
    name: 'exits-nonzero',
    argv: fixture('exits-nonzero'),
    code: 'COMMAND_FAILED',
    says: /status 3, saying: .*the fuse has blown/,
  },
  { name: 'kills-itself', argv: fixture('kills-itself'), code: 'COMMAND_KILLED', says: /SIGKILL/ },
  { name: 'hangs', argv: fixture('hangs', `${R}.pid`), code: 'COMMAND_TIMED_OUT', says: /after 1.5 s/ },
  {
    name: 'writes-nothing',
    argv: fixture('writes-nothing'),
    code: 'RESPONSE_MISSING',
    says: /wrote no response/,
  },
  {
    name: 'writes-folder',
    argv: fixture('writes-folder', R),
    code: 'RESPONSE_MISSING',
    says: /wrote no response/,
  },
  {
    name: 'writes-empty',
    argv: fixture('writes-empty', R),
    code: 'RESPONSE_EMPTY',
    says: /empty \(0 bytes\)/,
  },
  {
    name: 'writes-text',
    argv: fixture('writes-text', R),
    code: 'RESPONSE_UNREADABLE',
    says: /not a WAV file/,
  },
  {
    name: 'writes-huge',
    argv: fixture('writes-huge', R),
    code: 'RESPONSE_TOO_LARGE',
    says: /1073741824 bytes/,
  },
  {
    name: 'writes-short',
    argv: fixture('writes-short', S, R),
    code: 'RESPONSE_TOO_SHORT',
    says: new RegExp(`has ${STIMULUS_FRAMES - 100} frames, the stimulus ${STIMULUS_FRAMES}`),
  },
  {
    name: 'writes-nan',
    argv: fixture('writes-nan', S, R),
    code: 'RESPONSE_NOT_FINITE',
    says: /NaN in channel 2 at frame 7/,
  },
  {
    name: 'wrong-rate',
    argv: fixture('wrong-rate', S, R),
    code: 'RESPONSE_WRONG_RATE',
    says: /8000 .*48000/,
  },
  {
    name: 'wrong-channels',
    argv: fixture('wrong-channels', S, R),
    code: 'RESPONSE_WRONG_CHANNELS',
    says: /1 channels, the stimulus 2/,
  },
];

describe('a program that fails the bench', () => {
  it('by leaving out the current shunt: says how many channels are wanted', async () => {
    const bench = new CommandBench(
      commandSetup({ argv: fixture('senses-current', S, R, '1'), taps: [1, 2] }),
    );
    await bench.open();
    await expect(bench.play(tone()).next()).rejects.toMatchObject({
      code: 'RESPONSE_WRONG_CHANNELS',
      message: expect.stringMatching(/3 channels, the stimulus 2 and there are 2 current shunts/),
    });
    await bench.close();
  });

  it.each(FAULTS)('$name: ends the play with $code and leaves no file', async ({ argv, code, says }) => {
    const bench = new CommandBench(
      commandSetup({ argv, timeout_s: code === 'COMMAND_TIMED_OUT' ? 1.5 : 20 }),
    );
    await bench.open();
    const [folder] = readdirSync(temporary);
    await expect(bench.play(tone()).next()).rejects.toMatchObject({
      code,
      exitStatus: EXIT.benchFault,
      message: expect.stringMatching(says),
      explanation: { where: expect.stringMatching(/bench\.yaml$/) },
    });
    expect(readdirSync(join(temporary, folder!)).filter((file) => file.endsWith('.wav'))).toEqual([]);
    await bench.close();
    expect(readdirSync(temporary)).toEqual([]);
  });

  it('does not keep the bench from playing again', async () => {
    const marker = join(temporary, 'second');
    const script = `
      const fs = require('node:fs');
      const [, stimulus, response, marker] = process.argv;
      if (!fs.existsSync(marker)) process.exit(1);
      fs.copyFileSync(stimulus, response);`;
    const bench = new CommandBench(commandSetup({ argv: [process.execPath, '-e', script, S, R, marker] }));
    await bench.open();
    await expect(bench.play(tone()).next()).rejects.toMatchObject({ code: 'COMMAND_FAILED' });
    writeFileSync(marker, '');
    const again = bench.play(tone());
    expect((await again.next()).value?.start).toBe(0);
    await again.return();
    await bench.close();
  });
});

describe('a place for files that is missing', () => {
  it('is a fault at opening that says where', async () => {
    vi.stubEnv('TMPDIR', join(temporary, 'gone'));
    const bench = new CommandBench(commandSetup({ argv: fixture('passes-through', S, R) }));
    await expect(bench.open()).rejects.toMatchObject({
      code: 'COMMAND_EXCHANGE',
      message: expect.stringContaining(join(temporary, 'gone')),
    });
  });

  it('is a fault at playing when it vanishes later', async () => {
    const bench = new CommandBench(commandSetup({ argv: fixture('passes-through', S, R) }));
    await bench.open();
    rmSync(join(temporary, readdirSync(temporary)[0]!), { recursive: true });
    await expect(bench.play(tone()).next()).rejects.toMatchObject({ code: 'COMMAND_EXCHANGE' });
    await bench.close();
  });
});

describe('ending a play while its program runs', () => {
  it.each(['hangs', 'ignores-sigterm'])('return() ends a program that %s', async (name) => {
    const pidFile = join(temporary, 'pid');
    const bench = new CommandBench(commandSetup({ argv: fixture(name, pidFile), timeout_s: 600 }));
    await bench.open();
    const playing = bench.play(tone());
    const first = playing.next();
    const pid = await pidFrom(pidFile);
    await playing.return();
    expect(await first).toMatchObject({ done: true });
    expect(isAlive(pid)).toBe(false);
    await bench.close();
  });

  it('close() ends the program, tells the player, and removes the files', async () => {
    const pidFile = join(temporary, 'pid');
    const bench = new CommandBench(commandSetup({ argv: fixture('hangs', pidFile), timeout_s: 600 }));
    await bench.open();
    const first = expect(bench.play(tone()).next()).rejects.toMatchObject({ code: 'BENCH_CLOSED' });
    const pid = await pidFrom(pidFile);
    await bench.close();
    expect(isAlive(pid)).toBe(false);
    await first;
    rmSync(pidFile);
    expect(existsSync(temporary) && readdirSync(temporary)).toEqual([]);
  });
});

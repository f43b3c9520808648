import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { type ProgramEnd, runProgram } from '../../../src/bench/command/run-program.js';
import { fixture } from './command-setup.js';
import { isAlive, pidFrom, until } from './processes.js';

let folder = '';
let pidFile = '';

beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'ohmest-test-'));
  pidFile = join(folder, 'pid');
});

afterEach(() => {
  rmSync(folder, { recursive: true });
});

function run(argv: readonly string[], timeout_s = 20, stop = new AbortController()): Promise<ProgramEnd> {
  return runProgram(argv, { folder, timeout_s, signal: stop.signal, where: 'bench.yaml' });
}

describe('runProgram', () => {
  it('passes arguments as they are, without a shell', async () => {
    const odd = 'two words; $HOME `date` "quoted" \\ *';
    const argv = [process.execPath, '-e', 'console.log(process.argv[1])', odd];
    expect(await run(argv)).toEqual({ kind: 'exited', status: 0, said: odd });
  });

  it('runs in the folder it is given, with nothing on stdin', async () => {
    const script = 'process.stdin.on("data", () => {}).on("end", () => console.log(process.cwd()))';
    expect(await run([process.execPath, '-e', script])).toMatchObject({ status: 0, said: folder });
  });

  it('tells the status and what was said on stderr last', async () => {
    const end = await run(fixture('exits-nonzero'));
    expect(end).toMatchObject({ kind: 'exited', status: 3 });
    expect(end).toMatchObject({
      said: expect.stringMatching(/line 499 \/ line 500 \/ \\u001b\[31mthe fuse has blown\\u001b\[0m$/),
    });
  });

  it('tells the signal that a program died of', async () => {
    expect(await run(fixture('kills-itself'))).toMatchObject({ kind: 'killed', signal: 'SIGKILL' });
  });

  it('ends a program when its time is over, even one that ignores SIGTERM', async () => {
    const end = run(fixture('ignores-sigterm', pidFile), 3);
    const pid = await pidFrom(pidFile);
    expect(await end).toMatchObject({ kind: 'timed-out' });
    expect(isAlive(pid)).toBe(false);
  });

  it.each(['hangs', 'ignores-sigterm'])('ends a program that %s when told to', async (name) => {
    const stop = new AbortController();
    const end = run(fixture(name, pidFile), 60, stop);
    const pid = await pidFrom(pidFile);
    stop.abort();
    expect(await end).toEqual({ kind: 'stopped' });
    expect(isAlive(pid)).toBe(false);
  });

  it('does not start anything when told to stop beforehand', async () => {
    const stop = new AbortController();
    stop.abort();
    expect(await run(['no such program'], 1, stop)).toEqual({ kind: 'stopped' });
  });

  it('ends what a program has left behind', async () => {
    const argv = fixture('leaves-child-behind', process.execPath, join(folder, 'copy'), pidFile);
    expect(await run(argv)).toMatchObject({ kind: 'exited', status: 0 });
    const pid = await pidFrom(pidFile);
    // The orphan is dead by now, but whoever inherits it has to take note before its number goes.
    await until(() => !isAlive(pid));
  });

  it('takes its program along when the process exits', async () => {
    const script = join(import.meta.dirname, 'fixtures', 'exits-while-playing.ts');
    const parent = spawn(process.execPath, ['--import', 'tsx', script, pidFile], { stdio: 'inherit' });
    expect(await once(parent, 'exit')).toEqual([0, null]);
    const pid = await pidFrom(pidFile);
    await until(() => !isAlive(pid));
  });

  it('leaves no listener behind', async () => {
    const before = process.listenerCount('exit');
    await run([process.execPath, '-e', '0']);
    await expect(run(['no-such-program'])).rejects.toThrow();
    expect(process.listenerCount('exit')).toBe(before);
  });
});

import { mkdtempSync, realpathSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { readSensorProgram } from '../../../src/bench/sensors/sensor-program.js';
import { isAlive, pidFrom, until } from '../command/processes.js';

let folder = '';
let pidFile = '';

beforeEach(() => {
  folder = realpathSync(mkdtempSync(join(tmpdir(), 'ohmest-probe-')));
  pidFile = join(folder, 'pid');
});

afterEach(() => {
  rmSync(folder, { recursive: true });
});

const script = (code: string, ...args: readonly string[]) => [process.execPath, '-e', code, ...args];
const LEAVES_PID = "require('fs').writeFileSync(process.argv[1], String(process.pid));";
/** Never ends, and ignores being asked to. */
const HANGS = `process.on('SIGTERM', () => {}); setInterval(() => {}, 1000); ${LEAVES_PID}`;

const read = (argv: readonly string[], timeout_s = 20, signal = new AbortController().signal) =>
  readSensorProgram({ argv, folder, timeout_s, signal });

describe('readProbeProgram', () => {
  it.each([
    ['41.5', 41.5],
    ['-3e2\n', -300],
    [' +.5 \n\n', 0.5],
    ['0', 0],
  ])('reads %j as one number', async (text, value) => {
    expect(await read(script(`process.stdout.write(${JSON.stringify(text)})`))).toBe(value);
  });

  it.each(['', '41.5 degC', '1 2', 'NaN', 'Infinity', '1e999', '0x10', '1,5'])(
    'takes %j for no number, and shows it',
    async (text) => {
      const code = `process.stdout.write(${JSON.stringify(text)})`;
      await expect(read(script(code))).rejects.toThrow(
        text === '' ? 'printed nothing' : `printed '${text}' and not one number`,
      );
    },
  );

  it('passes arguments as they are, in the folder of the bench file', async () => {
    const code = 'console.log(process.argv[1] === "$HOME *" && process.cwd() === process.argv[2] ? 1 : 0)';
    expect(await read(script(code, '$HOME *', folder))).toBe(1);
  });

  it('tells the status and what was said on stderr, control characters shown', async () => {
    const code = 'console.log(5); console.error("the \\u001b[31msensor\\nis off"); process.exit(3)';
    await expect(read(script(code))).rejects.toThrow(
      /ended with status 3, saying: the \\u001b\[31msensor is off$/,
    );
  });

  it('tells the signal that a program died of', async () => {
    await expect(read(script('process.kill(process.pid, "SIGKILL")'))).rejects.toThrow(
      'by the signal SIGKILL',
    );
  });

  it('tells that there is no such program, or that it may not be run', async () => {
    await expect(read(['./no-such-probe'])).rejects.toThrow('./no-such-probe was not found');
    await expect(read([folder])).rejects.toThrow('could not be started (EACCES)');
  });

  it('kills one that hangs when its time is over', async () => {
    const reading = read(script(HANGS, pidFile), 1.5);
    await expect(reading).rejects.toThrow('had not ended after 1.5 s');
    const pid = await pidFrom(pidFile);
    await until(() => !isAlive(pid));
  });

  it('kills what the program has started, too', async () => {
    const code = `require('child_process').spawn(process.execPath, ['-e', ${JSON.stringify(HANGS)}, process.argv[1]], {stdio: 'inherit'});
      setInterval(() => { if (require('fs').existsSync(process.argv[1])) { console.log(7); process.exit(0); } }, 5)`;
    // The grandchild holds the pipes open: the number counts all the same.
    expect(await read(script(code, pidFile))).toBe(7);
    const pid = await pidFrom(pidFile);
    await until(() => !isAlive(pid));
  });

  it('kills it and answers at once when the run ends', async () => {
    const over = new AbortController();
    const reading = read(script(HANGS, pidFile), 60, over.signal);
    const pid = await pidFrom(pidFile);
    over.abort();
    await expect(reading).rejects.toThrow('the run has ended');
    await until(() => !isAlive(pid));
    await expect(read(['x'], 1, over.signal)).rejects.toThrow('the run has ended');
  });
});

import { execFileSync } from 'node:child_process';
import { closeSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { createServer } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { FileTooLong, NoRegularFile, openRegular, readRegular } from '../../src/files/open-regular.js';

const folder = mkdtempSync(join(tmpdir(), 'ohmest-files-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));
const at = (name: string) => join(folder, name);

describe('what is no regular file', () => {
  it('is refused at once, to whatever end it is opened', async () => {
    execFileSync('mkfifo', [at('pipe')]);
    mkdirSync(at('folder'));
    const server = createServer().listen(at('socket'));
    await new Promise((resolve) => server.once('listening', resolve));
    for (const path of [at('pipe'), at('folder'), at('socket'), '/dev/zero', '/dev/null', '/dev/full'])
      for (const way of ['r', 'r+', 'a', 'w+'] as const)
        expect(() => openRegular(path, way), `${path} ${way}`).toThrow(NoRegularFile);
    server.close();
  });

  it('is refused also where a file of the kernel would keep its reader waiting', () => {
    const outcome = () => readRegular('/proc/kmsg', 100);
    expect(outcome).toThrow();
  });
});

describe('a regular file', () => {
  it('is read whole up to the limit, also where it does not tell its length', () => {
    writeFileSync(at('text'), 'x'.repeat(1000));
    expect(readRegular(at('text'), 1000)).toHaveLength(1000);
    expect(() => readRegular(at('text'), 999)).toThrow(FileTooLong);
    expect(readRegular('/proc/self/status', 100_000).toString()).toContain('Pid:');
  });

  it('is added to, or written anew', () => {
    for (const [way, holds] of [
      ['w+', ''],
      ['a', 'old'],
    ] as const) {
      writeFileSync(at('kept'), 'old');
      closeSync(openRegular(at('kept'), way));
      expect(readFileSync(at('kept'), 'utf8')).toBe(holds);
    }
  });
});

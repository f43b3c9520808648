import { execFileSync, spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync, symlinkSync, truncateSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { isNamedPipe, readUserFile } from '../../../src/cli/terminal/user-file.js';
import { MAIN } from '../ohmest.js';

const folder = mkdtempSync(join(tmpdir(), 'ohmest-user-file-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** `ohmest claim` on a pipe that the shell has opened to what a command prints. */
const claimFrom = (command: string) =>
  spawnSync('/bin/bash', ['-c', `node '${MAIN}' claim <(${command})`], { encoding: 'utf8' });

describe('a file that the user names', () => {
  it('is read as it is', () => {
    const path = join(folder, 'plain');
    writeFileSync(path, 'text');
    expect(readUserFile(path).toString()).toBe('text');
  });

  it('is refused with its path when it is none, and a device without end is not read', () => {
    const circle = join(folder, 'circle');
    symlinkSync(circle, circle);
    for (const [path, reason] of [
      ['/dev/zero', 'this is a device, not a file'],
      [circle, 'this is a link that leads back to itself'],
      [folder, 'this is a folder, not a file'],
      [join(folder, 'none'), 'there is no such file'],
      [join(folder, 'plain', 'none'), 'a file stands where a folder of this name would be'],
      [join(folder, 'n'.repeat(300)), 'the name is too long for a file'],
    ] as const)
      expect(() => readUserFile(path)).toThrow(`${path}: ${reason}.`);
    expect(() => readUserFile('')).toThrow('the name of a file is empty. Name a file.');
  });

  it('is refused before it is read when it is longer than any such file, however long', () => {
    const path = join(folder, 'long');
    writeFileSync(path, 'RIFF');
    for (const bytes of [2 ** 20 + 1, 5 * 2 ** 30]) {
      truncateSync(path, bytes);
      expect(() => readUserFile(path)).toThrow(`${path}: this file is longer than 1 MiB.`);
    }
    truncateSync(path, 2 ** 20);
    expect(readUserFile(path)).toHaveLength(2 ** 20);
    expect(() => readUserFile(path, 2 ** 20 - 1)).toThrow('longer than 0 MiB');
  });

  it('may be a pipe that the shell has opened, and is not waited for where a pipe lies in a folder', () => {
    const path = join(folder, 'pipe');
    execFileSync('mkfifo', [path]);
    expect(() => readUserFile(path)).toThrow(`${path}: this is a pipe, which waits until somebody writes.`);
    expect(claimFrom('echo nonsense').stderr).toMatch(
      /fd\/\d+:1:1: expected keys with values, got 'nonsense'/,
    );
  });

  it('is left when a pipe does not end', () => {
    const { stderr, status } = claimFrom('yes nonsense');
    expect(stderr).toMatch(/fd\/\d+: this file is longer than 1 MiB/);
    expect(status).toBe(2);
  });
});

describe('what is open to be written to', () => {
  it('is told from a pipe that lies in a folder', () => {
    expect(isNamedPipe(join(folder, 'pipe'))).toBe(true);
    expect(isNamedPipe('/dev/stdout')).toBe(false);
    expect(isNamedPipe(join(folder, 'none'))).toBe(false);
  });
});

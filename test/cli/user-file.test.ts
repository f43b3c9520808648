import { mkdtempSync, rmSync, symlinkSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { readUserFile } from '../../src/cli/user-file.js';

const folder = mkdtempSync(join(tmpdir(), 'ohmest-user-file-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

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
    ] as const)
      expect(() => readUserFile(path)).toThrow(`${path}: ${reason}.`);
  });
});

import { createHash } from 'node:crypto';
import { chmodSync, mkdirSync, mkdtempSync, realpathSync, rmSync, symlinkSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { programFiles } from '../../src/bench/program-files.js';

const top = realpathSync(mkdtempSync(join(tmpdir(), 'ohmest-programs-')));
const sha = (text: string) => createHash('sha256').update(text).digest('hex');
const path = process.env.PATH;

beforeAll(() => {
  mkdirSync(join(top, 'bin'));
  mkdirSync(join(top, 'here'));
  writeFileSync(join(top, 'bin', 'invented-driver'), 'one');
  chmodSync(join(top, 'bin', 'invented-driver'), 0o755);
  writeFileSync(join(top, 'here', 'drive.py'), 'two');
  writeFileSync(join(top, 'here', 'set.ini'), 'three');
  symlinkSync(join(top, 'here', 'drive.py'), join(top, 'here', 'link.py'));
  process.env.PATH = join(top, 'bin');
});
afterAll(() => {
  process.env.PATH = path;
  rmSync(top, { recursive: true, force: true });
});

describe('the files of a command line', () => {
  it('are the program as the system finds it, and each argument that is a file or has one behind an equals sign', () => {
    const argv = ['invented-driver', 'drive.py', '--set=set.ini', '--depth', '24', '{stimulus}', 'bin'];
    expect(programFiles(argv, join(top, 'here'))).toEqual([
      { path: join(top, 'bin', 'invented-driver'), sha256: sha('one') },
      { path: join(top, 'here', 'drive.py'), sha256: sha('two') },
      { path: join(top, 'here', 'set.ini'), sha256: sha('three') },
    ]);
  });

  it('are found through links, each once', () => {
    expect(programFiles(['../bin/invented-driver', 'link.py', './drive.py'], join(top, 'here'))).toEqual([
      { path: join(top, 'bin', 'invented-driver'), sha256: sha('one') },
      { path: join(top, 'here', 'drive.py'), sha256: sha('two') },
    ]);
  });

  it('are null where there is none', () => {
    expect(programFiles(['not-there'], top)).toEqual([{ path: null, sha256: null }]);
    expect(programFiles([], top)).toEqual([{ path: null, sha256: null }]);
  });
});

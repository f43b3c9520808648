import { spawnSync } from 'node:child_process';
import {
  chmodSync,
  lstatSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeEach, expect, it } from 'vitest';
import { replaceFile } from '../../src/files/replace-file.js';

const folder = mkdtempSync(join(tmpdir(), 'ohmest-replace-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));
const at = (name: string) => join(folder, name);
const replaceText = (path: string, text: string) => replaceFile(path, (place) => writeFileSync(place, text));

beforeEach(() => {
  for (const name of readdirSync(folder)) rmSync(at(name), { force: true });
  writeFileSync(at('page'), 'old');
});

it('what stood there stays when the new one cannot be written to its end', async () => {
  const broken = replaceFile(at('page'), (path) => {
    writeFileSync(path, 'half');
    throw Object.assign(new Error('full'), { code: 'ENOSPC' });
  });
  await expect(broken).rejects.toThrow('full');
  expect(readFileSync(at('page'), 'utf8')).toBe('old');
  expect(readdirSync(folder)).toEqual(['page']);
});

it('a new one takes its place with the mode that the old one had, through links', async () => {
  chmodSync(at('page'), 0o640);
  symlinkSync(at('page'), at('link'));
  await replaceText(at('link'), 'new');
  expect(lstatSync(at('link')).isSymbolicLink()).toBe(true);
  expect(readFileSync(at('page'), 'utf8')).toBe('new');
  expect(statSync(at('page')).mode & 0o777).toBe(0o640);
});

it('what a killed program left is removed, and what another one is writing now is not', async () => {
  const dead = spawnSync(process.execPath, ['-e', '']).pid;
  const names = { left: `.page.unfinished-${dead}`, written: `.page.unfinished-${process.ppid}` };
  for (const name of [...Object.values(names), `.other.unfinished-${dead}`]) writeFileSync(at(name), 'half');
  await replaceText(at('page'), 'new');
  expect(readdirSync(folder).sort()).toEqual([`.other.unfinished-${dead}`, names.written, 'page'].sort());
});

it('a name may be as long as file systems take, in any script', async () => {
  const long = `${'ж'.repeat(120)}.html`;
  await replaceText(at(long), 'new');
  expect(readFileSync(at(long), 'utf8')).toBe('new');
  expect(readdirSync(folder).sort()).toEqual(['page', long].sort());
});

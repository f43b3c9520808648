import { spawnSync } from 'node:child_process';
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import { emptyFolder, MAIN } from './ohmest.js';

/** Throws what nobody foresaw, once the program is ready for that. */
const LOADED = `data:text/javascript,${encodeURIComponent(`
const wait = () => {
  if (process.listenerCount('uncaughtException') === 0) return void setImmediate(wait);
  throw new TypeError('of a kind\\nthat has two lines');
};
setImmediate(wait);
`)}`;

function failed(more: readonly string[], variables: Readonly<Record<string, string>> = {}) {
  const folder = emptyFolder();
  const env = { ...process.env, TMPDIR: folder, ...variables };
  const args = ['--import', LOADED, MAIN, 'show', '1', ...more];
  const { status, stdout, stderr } = spawnSync(process.execPath, args, {
    cwd: folder,
    env,
    encoding: 'utf8',
  });
  return { folder, status, stdout, stderr };
}

it('an error that nobody foresaw ends in one line, with the details in a file, and status 1', () => {
  const { folder, status, stdout, stderr } = failed([]);
  expect([status, stdout]).toEqual([1, '']);
  expect(stderr).toMatch(
    /^ohmest: 'ohmest show 1' failed: of a kind\. This is a fault of ohmest: please report it\. Details: .*\.txt\.\n$/,
  );
  const [file, ...others] = readdirSync(folder);
  expect(others).toEqual([]);
  const details = readFileSync(join(folder, file!), 'utf8');
  expect(details).toMatch(/^ohmest show 1\nNode v\d+/);
  expect(details).toContain('TypeError: of a kind\nthat has two lines\n    at ');
});

it('the details are printed where that is wanted, and JSON is one document', () => {
  const { folder, status, stdout, stderr } = failed(['--json'], { OHMEST_STACK: '1' });
  expect(status).toBe(1);
  expect(stderr).toContain('    at ');
  expect(readdirSync(folder)).toEqual([]);
  expect(JSON.parse(stdout)).toEqual({
    error: { code: 'INTERNAL', what: expect.stringContaining('of a kind. This is a fault of ohmest') },
  });
});

it.each([30, 40])('a limit of %i open files is told in one line', (limit) => {
  const command = `ulimit -n ${limit}; exec "$0" "$1" runs`;
  const { status, stderr } = spawnSync('sh', ['-c', command, process.execPath, MAIN], { encoding: 'utf8' });
  expect(status).toBe(1);
  expect(stderr).toMatch(/^ohmest: 'ohmest runs' failed: too many files are open\. .*ulimit -n.*\n$/);
});

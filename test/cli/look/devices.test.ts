import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { emptyFolder, filesIn, ohmest, put } from '../ohmest.js';

/** Makes the sound package invisible to every process that Node starts from here. */
const HIDE = `const Module = require('node:module');
const find = Module._resolveFilename;
Module._resolveFilename = function (name, ...rest) {
  if (name !== 'naudiodon') return find.call(this, name, ...rest);
  throw Object.assign(new Error("Cannot find module 'naudiodon'"), { code: 'MODULE_NOT_FOUND' });
};
`;

function withoutSound() {
  const cwd = emptyFolder();
  put(cwd, { 'hide.cjs': HIDE });
  return { cwd, env: { NODE_OPTIONS: `--require "${join(cwd, 'hide.cjs')}"` } };
}

describe('without the optional sound package', () => {
  it('devices says what is missing and how to get it, with status 4', async () => {
    const { status, stdout, stderr } = await ohmest(['devices'], withoutSound());
    expect([status, stdout]).toEqual([4, '']);
    expect(stderr).toMatch(/^ohmest: [^\n]*naudiodon[^\n]*\n$/);
  });

  it('devices --json says so as one document', async () => {
    const { status, stdout } = await ohmest(['devices', '--json'], withoutSound());
    expect(status).toBe(4);
    expect(JSON.parse(stdout).error.code).toBe('AUDIO_UNAVAILABLE');
  });

  it('a run is refused before anybody is asked anything, and leaves no database', async () => {
    const stand = withoutSound();
    const args = ['run', 'quick-look', '--bench', 'example-audio', '--unit', 'U'];
    const { status, stdout, stderr } = await ohmest(args, stand);
    expect([status, stdout]).toEqual([4, '']);
    expect(stderr).toMatch(/^ohmest: [^\n]*naudiodon[^\n]*\n$/);
    expect(filesIn(stand.cwd)).toEqual(['hide.cjs']);
  });

  it('everything else works', async () => {
    const { status } = await ohmest(['plan', 'quick-look', '--bench', 'example-audio'], withoutSound());
    expect(status).toBe(0);
  });
});

it('devices says what to look at when there are none', async () => {
  const cwd = emptyFolder();
  const silent = HIDE.replace(
    /^ {2}throw .*$/m,
    "  return require('node:path').join(__dirname, 'silent.cjs');",
  );
  put(cwd, { 'hide.cjs': silent, 'silent.cjs': 'module.exports = { getDevices: () => [] };' });
  const env = { NODE_OPTIONS: `--require "${join(cwd, 'hide.cjs')}"` };
  const { status, stdout, stderr } = await ohmest(['devices'], { cwd, env });
  expect([status, stdout]).toEqual([0, 'no sound device that can play or capture was found\n']);
  expect(stderr).toMatch(/^Connect the interface and switch it on/);
  expect((await ohmest(['devices', '--json'], { cwd, env })).stderr).toBe('');
});

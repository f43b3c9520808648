import { existsSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import { KeepAwake } from '../../src/bench/keep-awake.js';
import { until } from '../audio/until.js';
import { isAlive } from './command/processes.js';

const ALIVE = `
require('node:fs').writeFileSync(process.argv[1], String(process.pid));
process.stdin.resume().on('end', () => process.exit(0));
`;

it('runs a program until it is released, and says nothing', async () => {
  const folder = mkdtempSync(join(tmpdir(), 'ohmest-test-'));
  const file = join(folder, 'pid');
  const awake = new KeepAwake([process.execPath, '-e', ALIVE, file]);
  try {
    const pidIn = () => (existsSync(file) ? Number(readFileSync(file, 'utf8')) : 0);
    await until('it runs', () => pidIn() > 0);
    expect(isAlive(pidIn())).toBe(true);
    awake.release();
    await until('it has ended', () => !isAlive(pidIn()));
    awake.release();
    expect(awake.takeNotes()).toEqual([]);
  } finally {
    awake.release();
    rmSync(folder, { recursive: true });
  }
});

it.each([
  [null, 'ohmest knows no way on this system'],
  [['no-such-program'], 'no-such-program was not found'],
  [[process.execPath, '-e', 'process.exit(1)'], `${process.execPath} ended with status 1`],
])('says once that the computer may sleep: %s', async (argv, why) => {
  const awake = new KeepAwake(argv);
  const said: string[] = [];
  await until('it says why', () => said.push(...awake.takeNotes()) > 0);
  expect(said).toEqual([
    `the computer may go to sleep during a run; turn sleep off in its settings (${why})`,
  ]);
  expect(awake.takeNotes()).toEqual([]);
  awake.release();
});

import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { emptyFolder, filesIn, start } from '../cli/ohmest.js';
import { Rig } from './rig.js';
import { until } from './until.js';

const LOOP = fileURLToPath(new URL('loop.yaml', import.meta.url));
const COMMON = ['--bench', LOOP, '--by', 'Ada', '--into', 'records', '--channel', '1', '--json'];
const METER = ['--accuracy', '0.5 % + 3 counts', '--resolution', '1 mV'];
/** Volts of a full scale of 4 V peak at -20, -12, -6, -3, -1 and once more -6 dB; the loop's input stops at 8 V peak. */
const READINGS = ['0.2828', '0.7105', '1.4176', '2.0024', '2.5209', '1.4176'];
let rig: Rig;
beforeAll(() => {
  rig = new Rig();
});
afterAll(() => rig.stop());

it('reads an input on the sound path while a person types what the meter shows', async () => {
  const cwd = emptyFolder();
  const { child, ended } = start(['calibrate', 'input', '--metered', ...COMMON, ...METER], {
    cwd,
    input: null,
    env: rig.env,
  });
  child.stdin!.end(`y\n${READINGS.map((reading) => `${reading}\n`).join('')}`);
  const { status, stdout, stderr } = await ended;
  expect(status, stderr).toBe(0);
  // The loop hands codes on unchanged, so that the input's full scale is the 4 V that were typed of the output.
  expect(JSON.parse(stdout).calibrated[0].full_scale_Vpk).toBeCloseTo(4, 2);
});

it('finds no deviation in a loop that has none', async () => {
  const cwd = emptyFolder();
  const args = ['calibrate', 'response', ...COMMON, '--frequency', '100 Hz, 20 kHz'];
  const { status, stdout, stderr } = await start(args, { cwd, input: 'y\n', env: rig.env }).ended;
  expect(status, stderr).toBe(0);
  for (const { level_dB } of JSON.parse(stdout).calibrated[0].points)
    expect(Math.abs(level_dB)).toBeLessThan(1e-4);
});

it('ramps down on Ctrl-C while it waits for a reading, keeps what was typed, and ends with status 130', async () => {
  const cwd = emptyFolder();
  const { child, ended } = start(['calibrate', 'input', '--metered', ...COMMON, ...METER], {
    cwd,
    input: null,
    env: rig.env,
  });
  child.stdin!.write(`y\n${READINGS[0]}\n`);
  const journal = join(cwd, 'records', 'unfinished-input-1.jsonl');
  await until('the first reading is on disk', () => text(journal).includes('"answer"'), 30_000);
  child.kill('SIGINT');
  expect((await ended).status).toBe(130);
  expect(filesIn(join(cwd, 'records'))).toEqual(['unfinished-input-1.jsonl']);
});

function text(path: string): string {
  try {
    return readFileSync(path, 'utf8');
  } catch {
    return '';
  }
}

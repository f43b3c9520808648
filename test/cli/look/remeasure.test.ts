import { copyFileSync, mkdirSync, readdirSync, readFileSync, statSync } from 'node:fs';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { beforeAll, describe, expect, it } from 'vitest';
import { reseal } from '../../store/reseal.js';
import { emptyFolder, filesIn, ohmest, put } from '../ohmest.js';
import { SHORT } from '../stand.js';

describe('show --remeasure', { timeout: 60_000 }, () => {
  const cwd = emptyFolder();
  const here = (...args: string[]) => ohmest(args, { cwd });

  beforeAll(async () => {
    put(cwd, { 'short.yaml': SHORT });
    const run = ['run', 'short.yaml', '--bench', 'stiff-pair', '--unit', 'Blue box'];
    expect((await here(...run, '--captures')).status).toBe(0);
    expect((await here(...run)).status).toBe(0);
  }, 120_000);

  it('finds nothing changed in a run just made, and changes nothing in the database', async () => {
    const file = join(cwd, 'ohmest.db');
    const before = [readFileSync(file), statSync(file).mtimeMs, filesIn(cwd)];
    const { status, stdout, stderr } = await here('show', '1', '--remeasure');
    expect([status, stderr]).toEqual([0, '']);
    expect(stdout).toMatch(/6 of 6 readings are what they were, to 1e-9 of each figure; 0\s+changed/);
    for (const line of stdout.split('\n')) expect(line.length).toBeLessThanOrEqual(80);
    const document = JSON.parse((await here('show', '1', '--remeasure', '--json')).stdout);
    expect(document).toMatchObject({ run: 1, readings: 6, unchanged: 6, changed: 0, changes: [] });
    expect([readFileSync(file), statSync(file).mtimeMs, filesIn(cwd)]).toEqual(before);
  });

  it('shows which figures are others than those stored, where and by how much', async () => {
    put(cwd, { 'other.db': readFileSync(join(cwd, 'ohmest.db')) });
    const db = new Database(join(cwd, 'other.db'));
    db.exec(
      'UPDATE readings SET power_W = power_W * 1.25, flags = \'["no-tone"]\' WHERE run = 1 AND point = 2 AND channel = 2',
    );
    reseal(db, 1);
    db.close();
    const folder = join(cwd, 'ohmest.db.captures');
    mkdirSync(join(cwd, 'other.db.captures'));
    for (const name of readdirSync(folder))
      copyFileSync(join(folder, name), join(cwd, 'other.db.captures', name));
    const { status, stdout } = await here('show', '1', '--remeasure', '--db', 'other.db');
    expect(status).toBe(0);
    expect(stdout).toContain('5 of 6 readings are what they were');
    expect(stdout).toMatch(/power_W +2 +2 +1\.25\d* +1\.0\d* +20\.0 %/);
    expect(stdout).toMatch(/flags +2 +2 +no-tone +none +–/);
    const document = JSON.parse(
      (await here('show', '1', '--remeasure', '--db', 'other.db', '--json')).stdout,
    );
    expect(document.changes.map(({ quantity }: { quantity: string }) => quantity)).toEqual([
      'power_W',
      'flags',
    ]);
    expect(document.changes[0].relative).toBeCloseTo(0.2, 9);
  });

  it('says so when no captures were kept', async () => {
    const { status, stdout, stderr } = await here('show', '2', '--remeasure');
    expect([status, stdout]).toEqual([2, '']);
    expect(stderr).toMatch(/no captures were kept of run 2, so nothing can be recomputed/);
  });

  it('says so when a capture is gone or was changed', async () => {
    const other = emptyFolder();
    put(other, { 'ohmest.db': readFileSync(join(cwd, 'ohmest.db')) });
    const { status, stderr } = await ohmest(['show', '1', '--remeasure'], { cwd: other });
    expect(status).toBe(2);
    expect(stderr).toMatch(/the capture is not there/);
  });
});

import { existsSync } from 'node:fs';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { describe, expect, it } from 'vitest';
import { until } from '../audio/until.js';
import { emptyFolder, ohmest, put, start } from './ohmest.js';
import { benchWithTwin, device, idealTwinWith, LONG, programBench, SHORT } from './stand.js';

/** Points that other programs can see in a database by now. */
function pointsIn(file: string): number {
  if (!existsSync(file)) return 0;
  const db = new Database(file, { readonly: true });
  try {
    return db.prepare<[], number>('SELECT count(*) FROM points').pluck().get() ?? 0;
  } catch {
    return 0; // the tables are just being made
  } finally {
    db.close();
  }
}

describe('a run that ends early', () => {
  it('by a trip ends with status 3, tells why, and keeps the readings before it', async () => {
    const cwd = emptyFolder();
    put(cwd, {
      'long.yaml': LONG,
      'bench.yaml': benchWithTwin('failing'),
      'failing.yaml': idealTwinWith('dc_fault: {channel: 1, voltage: 2.5 V, after: 5 s}'),
    });
    const ended = await ohmest(['run', 'long.yaml', '--bench', 'bench.yaml', '--unit', 'U', '--json'], {
      cwd,
    });
    expect(ended.status).toBe(3);
    const { outcome, reason, points, readings } = JSON.parse(ended.stdout);
    expect(outcome).toBe('tripped');
    expect(reason).toMatch(/DC/);
    expect(points.length).toBeGreaterThan(0);
    expect(readings).toHaveLength(points.length);
  });

  it('by a program that fails ends with status 4, names it, and keeps the readings before it', async () => {
    const cwd = emptyFolder();
    put(cwd, { 'long.yaml': LONG, 'bench.yaml': programBench('no'), 'device.mjs': device(20) });
    const ended = await ohmest(['run', 'long.yaml', '--bench', 'bench.yaml', '--unit', 'U', '--json'], {
      cwd,
    });
    expect(ended.status).toBe(4);
    const { outcome, reason, readings } = JSON.parse(ended.stdout);
    expect(outcome).toBe('fault');
    expect(reason).toMatch(/status 7/);
    expect(reason).toMatch(/the invented relay has stuck/);
    expect(readings.length).toBeGreaterThan(0);
    const shown = await ohmest(['show', '1', '--json'], { cwd });
    expect(JSON.parse(shown.stdout).readings).toEqual(readings);
  });

  it('by a program that is not there ends with status 4', async () => {
    const cwd = emptyFolder();
    const bench = programBench('no').replace(process.execPath, './no-such-program');
    put(cwd, { 'short.yaml': SHORT, 'bench.yaml': bench });
    const ended = await ohmest(['run', 'short.yaml', '--bench', 'bench.yaml', '--unit', 'U'], { cwd });
    expect(ended.status).toBe(4);
    expect(ended.stdout + ended.stderr).toMatch(/no-such-program/);
  });

  it.each([
    ['SIGINT', 'by the operator'],
    ['SIGTERM', 'by a request to end the process (SIGTERM)'],
  ] as const)(
    'by %s ends with status 130, closed as interrupted %s, with its points kept',
    async (signal, by) => {
      const cwd = emptyFolder();
      put(cwd, { 'long.yaml': LONG });
      const { child, ended } = start(
        ['run', 'long.yaml', '--bench', 'ideal-40', '--unit', 'U', '--db', 'a.db', '--json'],
        { cwd },
      );
      await until('three points are stored', () => pointsIn(join(cwd, 'a.db')) >= 3, 20_000);
      child.kill(signal);
      const { status, stdout } = await ended;
      expect(status).toBe(130);
      const { outcome, reason, points } = JSON.parse(stdout);
      expect([outcome, reason]).toEqual(['interrupted', `interrupted ${by}, output ramped down`]);
      expect(points.length).toBeGreaterThanOrEqual(3);
      const shown = JSON.parse((await ohmest(['show', '1', '--db', 'a.db', '--json'], { cwd })).stdout);
      expect(shown.outcome).toBe('interrupted');
      expect(shown.ended).not.toBeNull();
      expect(shown.points).toEqual(points);
    },
  );

  it('by kill -9 keeps its points, and shows as interrupted from then on', async () => {
    const cwd = emptyFolder();
    put(cwd, { 'long.yaml': LONG });
    const { child, ended } = start(['run', 'long.yaml', '--bench', 'ideal-40', '--unit', 'U'], { cwd });
    await until('three points are stored', () => pointsIn(join(cwd, 'ohmest.db')) >= 3, 20_000);
    const during = JSON.parse((await ohmest(['runs', '--json'], { cwd })).stdout).runs[0];
    expect(during.outcome).toBe('running');
    child.kill('SIGKILL');
    expect((await ended).signal).toBe('SIGKILL');
    const after = JSON.parse((await ohmest(['runs', '--json'], { cwd })).stdout).runs[0];
    expect(after).toMatchObject({ run: 1, outcome: 'interrupted' });
    expect(after.points).toBeGreaterThanOrEqual(during.points);
    const shown = JSON.parse((await ohmest(['show', '1', '--json'], { cwd })).stdout);
    expect(shown.points).toHaveLength(after.points);
  });

  it('goes on when whoever reads its messages goes away', async () => {
    const cwd = emptyFolder();
    put(cwd, { 'short.yaml': SHORT });
    const { child, ended } = start(['run', 'short.yaml', '--bench', 'ideal-40', '--unit', 'U'], { cwd });
    child.stdout!.destroy();
    child.stderr!.destroy();
    expect((await ended).status).toBe(0);
    const shown = JSON.parse((await ohmest(['show', '1', '--json'], { cwd })).stdout);
    expect([shown.outcome, shown.points.length]).toEqual(['completed', 3]);
  });
});

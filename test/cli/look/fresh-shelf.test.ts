import { copyFileSync, renameSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { type FreshShelf, freshShelf } from '../../../src/cli/look/fresh-shelf.js';
import { headlineOf } from '../../../src/judgement/conclude/conclusions-of.js';
import { judgeRun } from '../../../src/judgement/judged-run.js';
import { openRuns } from '../../../src/store/sqlite/sqlite-runs.js';
import { browseRoutes } from '../../../src/view/browse/browse-routes.js';
import type { Document } from '../../../src/view/local-route.js';
import { inventedRun, recordRun } from '../../store/invented-run.js';
import { emptyFolder } from '../ohmest.js';

const NOW = new Date('2031-03-04T10:22:31Z');
let folder: string;
let shelf: FreshShelf;

function record(name: string, ...units: readonly string[]): string {
  const path = join(folder, name);
  const store = openRuns(path, { mode: 'create' });
  for (const unit of units) recordRun(store, inventedRun(unit), 'completed', '');
  store.close();
  return path;
}

const units = async () => (await shelf.search({}, { limit: 10, offset: 0 })).runs.map(({ unit }) => unit);

/** What a browser is given at an address. */
async function asked(path: string): Promise<Document> {
  const route = browseRoutes(shelf).find((one) => one.path === path)!;
  const request = { path, base: '/b', query: new URLSearchParams(), params: [], body: '', token: '' };
  return (await route.handle(request)) as Document;
}

beforeEach(async () => {
  folder = emptyFolder();
  shelf = await freshShelf(record('runs.db', 'First'), () => NOW);
});

afterEach(() => shelf.close());

describe('a shelf over a database file', () => {
  it('shows runs that are added, and does not take them for another file', async () => {
    expect(await units()).toEqual(['First']);
    record('runs.db', 'Second');
    expect(await units()).toEqual(['Second', 'First']);
    expect(shelf.replaced()).toBeNull();
  });

  it('tells of each run what its judgement puts first, and of a damaged one why it cannot be read', async () => {
    record('runs.db', 'Second');
    const db = new Database(join(folder, 'runs.db'));
    db.exec("UPDATE findings SET value = 1 WHERE run = 1 AND quantity = 'max-power'");
    db.close();
    const { runs } = await shelf.search({}, { limit: 10, offset: 0 });
    const [second, first] = await Promise.all(runs.map((run) => shelf.headline(run)));
    expect(second).toEqual(headlineOf(judgeRun(await shelf.run(2)).conclusions));
    expect(second!.length).toBeGreaterThan(0);
    expect(first).toHaveLength(1);
    expect(first![0]).toMatch(/run 1 .*its findings/);
    expect((await asked('/')).body).toContain('its findings');
  });

  it('shows the file that was moved into its place, and says since when', async () => {
    renameSync(record('other.db', 'Other'), join(folder, 'runs.db'));
    expect(await units()).toEqual(['Other']);
    expect((await shelf.run(1)).unit.label).toBe('Other');
    expect(shelf.replaced()).toEqual(NOW);
    const page = await asked('/');
    expect(page.status).toBe(200);
    expect(page.body).toContain('Another database was put in the place of <bdi>runs.db</bdi>');
    expect(page.body).toContain('noticed at 2031-03-04 10:22:31 UTC');
  });

  it('says nothing of the kind while the file is the one that it began with', async () => {
    expect((await asked('/')).body).not.toContain('Another database');
  });

  it('shows what a copy has written over the file', async () => {
    expect(await units()).toEqual(['First']);
    copyFileSync(record('other.db', 'One', 'Two'), join(folder, 'runs.db'));
    expect(await units()).toEqual(['Two', 'One']);
  });

  it('says that the file is gone for as long as it is, and shows it again when it is back', async () => {
    renameSync(join(folder, 'runs.db'), join(folder, 'away.db'));
    const page = await asked('/');
    expect(page.status).toBe(400);
    expect(page.body).toContain('runs.db');
    renameSync(join(folder, 'away.db'), join(folder, 'runs.db'));
    expect(await units()).toEqual(['First']);
    expect(shelf.replaced()).toBeNull();
  });

  it('closes whatever it has open, also after the file has gone', async () => {
    rmSync(join(folder, 'runs.db'));
    await expect(units()).rejects.toThrow('runs.db');
    await shelf.close();
    await expect(shelf.close()).resolves.toBeUndefined();
  });
});

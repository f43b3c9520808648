import type { spawn } from 'node:child_process';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { READING_AID } from '../../src/document/html/reading-aid.js';
import { openRuns } from '../../src/store/sqlite/sqlite-runs.js';
import { ohmest, start } from '../cli/ohmest.js';
import { HOSTILE } from '../document/hostile.js';
import { inventedRun, recordRun } from '../store/invented-run.js';
import { accessFaults } from './access-faults.js';
import { type Browser, openBrowser } from './browser.js';
import { OVERFLOW } from './page-checks.js';
import { watchedPage } from './watched-page.js';

let browser: Browser;
let db: string;
let url: string;
let child: ReturnType<typeof spawn>;
let ended: Promise<{ status: number | null; stderr: string }>;

beforeAll(async () => {
  browser = await openBrowser();
  db = join(browser.folder, 'runs.db');
  for (const unit of ['Left amplifier', 'Right amplifier']) {
    const made = await ohmest(['run', 'quick-look', '--bench', 'ideal-40', '--unit', unit, '--db', db]);
    expect(made.status, made.stderr).toBe(0);
  }
  const store = openRuns(db, { mode: 'create' });
  for (const label of [HOSTILE.script, HOSTILE.attribute, HOSTILE.entity])
    recordRun(store, inventedRun(label), 'stopped', HOSTILE.script);
  for (let i = 0; i < 40; i++) recordRun(store, inventedRun('Many', 1), 'completed', '');
  store.close();
  const browsing = start(['browse', '--db', db, '--json'], { input: null });
  child = browsing.child;
  ended = browsing.ended;
  const first = await new Promise<string>((resolve) =>
    child.stdout!.once('data', (text) => resolve(String(text))),
  );
  url = (JSON.parse(first) as { url: string }).url;
}, 120_000);

afterAll(async () => {
  child.kill('SIGKILL');
  await browser.close();
});

/** The list, and everything that the page complained of. */
async function opened() {
  const { page, complaints } = await watchedPage(browser.context);
  await page.setViewportSize({ width: 1024, height: 900 });
  await page.goto(url);
  return { page, complaints };
}

const rowsOf = (page: Page) =>
  page.locator('.runs tbody tr').evaluateAll((rows) =>
    rows.map((row) => ({
      run: row.querySelector('.number')?.textContent ?? '',
      unit: row.querySelector('th bdi')?.textContent ?? '',
      found: [...row.querySelectorAll('.found p')].map((p) => p.textContent),
      outcome: row.querySelector('.how span')?.textContent ?? '',
      points: row.querySelector('.points')?.textContent ?? '',
    })),
  );

/** What a run puts first, out of the database by another way: the conclusions that were stored when it ended. */
function toldBy(run: number): string[] {
  const sql = new Database(db, { readonly: true });
  const first = sql.prepare<[number, string], string>(
    "SELECT text FROM conclusions WHERE run = ? AND detail ->> '$.role' = ? ORDER BY position LIMIT 1",
  );
  const told = ['warning', 'answer'].flatMap((role) => first.pluck().get(run, role) ?? []);
  sql.close();
  return told;
}

describe('the shelf', () => {
  test('lists runs newest first, a page at a time, with the figures of the database', async () => {
    const { page, complaints } = await opened();
    const first = await rowsOf(page);
    expect(first.map(({ run }) => Number(run))).toEqual(Array.from({ length: 40 }, (_, i) => 45 - i));
    await page.getByRole('link', { name: 'Older' }).click();
    const older = await rowsOf(page);
    expect(older.map(({ run }) => Number(run))).toEqual([5, 4, 3, 2, 1]);
    const left = older.at(-1)!;
    expect(left).toMatchObject({ unit: 'Left amplifier', outcome: 'completed' });
    expect(left.found.map((text) => text?.replaceAll('\u00a0', ' ').replaceAll('Ω', 'ohm'))).toEqual(
      toldBy(1),
    );
    expect(complaints).toEqual([]);
    await page.close();
  });

  test('finds runs by unit, by words and by outcome', async () => {
    const { page } = await opened();
    await page.getByLabel('Unit').selectOption('Left amplifier');
    await page.getByRole('button', { name: 'Find' }).click();
    expect((await rowsOf(page)).map(({ run }) => run)).toEqual(['1']);
    await page.getByRole('link', { name: 'All runs' }).click();
    await page.getByLabel('Words').fill('AMPLIFIER');
    await page.getByLabel('Outcome').selectOption('completed');
    await page.getByRole('button', { name: 'Find' }).click();
    expect((await rowsOf(page)).map(({ run }) => run)).toEqual(['2', '1']);
    await page.getByLabel('Words').fill('no such thing');
    await page.getByRole('button', { name: 'Find' }).click();
    expect(await page.getByRole('status').textContent()).toContain('No run matches');
    await page.close();
  });

  test('opens the report of a run, which leads back', async () => {
    const { page, complaints } = await opened();
    await page.goto(`${page.url()}?text=left`);
    await page.getByRole('link', { name: 'Left amplifier' }).click();
    expect(await page.locator('h1').textContent()).toBe('Left amplifier');
    expect(await page.locator('figure svg').count()).toBeGreaterThan(0);
    await page.locator('.plot').first().focus();
    expect(await page.locator('.readout').first().textContent()).toMatch(/^channel 1: .*THD\+N/);
    const download = page.waitForEvent('download');
    await page.getByRole('link', { name: 'readings.csv' }).click();
    expect((await download).suggestedFilename()).toBe('run-1-readings.csv');
    await page.getByRole('link', { name: 'All runs' }).click();
    expect(await page.locator('h1').textContent()).toBe('Runs');
    expect(complaints).toEqual([]);
    await page.close();
  });

  test('compares the runs that are ticked, and says what to do when one alone is', async () => {
    const { page, complaints } = await opened();
    await page.goto(`${page.url()}?text=amplifier`);
    await page.getByLabel('Compare run 1, Left amplifier').check();
    await page.getByRole('button', { name: 'Compare' }).click();
    expect(await page.getByRole('alert').textContent()).toContain('tick them in the list');
    await page.goBack();
    await page.getByLabel('Compare run 2, Right amplifier').check();
    await page.getByRole('button', { name: 'Compare' }).click();
    const text = await page.locator('body').textContent();
    expect(text).toContain('Left amplifier');
    expect(text).toContain('Right amplifier');
    expect(await page.locator('figure svg').count()).toBeGreaterThan(0);
    // The refusal before came with status 400, which a browser notes in its console.
    expect(complaints.filter((complaint) => !complaint.includes('400'))).toEqual([]);
    await page.close();
  });

  test('shows hostile names as text', async () => {
    const { page, complaints } = await opened();
    await page.goto(`${page.url()}?outcome=stopped`);
    const units = (await rowsOf(page)).map(({ unit }) => unit);
    expect(units).toHaveLength(3);
    expect(units.join()).toContain('<script>alert(1)</script>');
    expect(units.join()).toContain('onmouseover=');
    for (const run of ['3', '4', '5']) {
      await page.goto(url.replace('/?', `/run/${run}?`));
      expect(await page.locator('script').allTextContents()).toEqual([READING_AID]);
    }
    expect(complaints).toEqual([]);
    await page.close();
  });

  test('says what is wrong with an address, with a status that fits', async () => {
    const { page } = await opened();
    const base = page.url();
    for (const [address, status, words] of [
      ['run/999', 404, '999'],
      ['run/one', 400, 'the number of a run'],
      ['?outcome=won', 400, 'one of running, completed'],
      ['?page=77', 200, 'There is nothing on this page'],
      ['nowhere', 404, 'There is nothing at this address'],
    ] as const) {
      const response = await page.goto(base + address);
      expect(response?.status(), address).toBe(status);
      expect(await page.locator('body').textContent(), address).toContain(words);
    }
    await page.close();
  });

  test('is no wider than its window, and no hindrance to those who read or press otherwise', async () => {
    const { page } = await opened();
    for (const scheme of ['light', 'dark'] as const) {
      await page.emulateMedia({ colorScheme: scheme });
      for (const width of [390, 1600, 1024]) {
        await page.setViewportSize({ width, height: 900 });
        expect(await page.evaluate(OVERFLOW)).toBeLessThanOrEqual(0);
      }
      expect(await accessFaults(page)).toEqual([]);
    }
    await page.goto(`${page.url()}?outcome=won`);
    expect(await accessFaults(page)).toEqual([]);
    await page.close();
  });

  test('answers nobody who has no token', async () => {
    const { page } = await opened();
    const inside = page.url();
    const stranger = await fetch(inside);
    expect(stranger.status).toBe(403);
    expect(await stranger.text()).not.toContain('amplifier');
    await page.close();
  });

  test('shows a run that was recorded meanwhile, and ends with Ctrl-C as done', async () => {
    const made = await ohmest(['run', 'quick-look', '--bench', 'ideal-40', '--unit', 'Newcomer', '--db', db]);
    expect(made.status).toBe(0);
    const { page } = await opened();
    expect((await rowsOf(page))[0]).toMatchObject({ run: '46', unit: 'Newcomer' });
    await page.close();
    child.kill('SIGINT');
    expect(await ended).toMatchObject({ status: 0 });
  });
});

import type { ChildProcess } from 'node:child_process';
import { join } from 'node:path';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { findingKey } from '../../src/record/finding.js';
import { isKnownFinding } from '../../src/record/findings-of.js';
import { openRuns } from '../../src/store/sqlite/sqlite-runs.js';
import { formatQuantity } from '../../src/units/format.js';
import { until } from '../audio/until.js';
import { type Ended, emptyFolder, put, start } from '../cli/ohmest.js';
import { device, LONG, programBench } from '../cli/stand.js';
import { accessFaults } from './access-faults.js';
import { type Browser, openBrowser } from './browser.js';
import { watchedPage } from './watched-page.js';

const TWO_SWEEPS = `name: Two sweeps
load: 8 ohm
steps:
  - sweep: {id: first, level: 1 W, frequencies: [500 Hz, 1 kHz]}
  - sweep: {id: last, level: 2 W, frequencies: [500 Hz, 1 kHz, 2 kHz]}
`;

/** A device that plays nothing before there is a file `go` beside it. */
const HELD_DEVICE = `import { existsSync } from 'node:fs';
const moment = new Int32Array(new SharedArrayBuffer(4));
while (!existsSync('go')) Atomics.wait(moment, 0, 0, 5);
${device()}`;

let browser: Browser;

beforeAll(async () => {
  browser = await openBrowser();
});

afterAll(async () => {
  await browser.close();
});

interface LiveRun {
  readonly cwd: string;
  readonly child: ChildProcess;
  readonly ended: Promise<Ended>;
  readonly url: string;
}

/** Starts a run with a live page and waits for its address. */
async function liveRun(sequence: string, program = device()): Promise<LiveRun> {
  const cwd = emptyFolder();
  put(cwd, { 'it.yaml': sequence, 'bench.yaml': programBench('no'), 'device.mjs': program });
  const args = ['run', 'it.yaml', '--bench', 'bench.yaml', '--unit', 'Invented unit', '--live'];
  const { child, ended } = start(args, { cwd });
  let said = '';
  child.stderr!.on('data', (text: string) => {
    said += text;
  });
  const address = () => /^live page: (\S+)$/m.exec(said)?.[1];
  await until('the address is printed', () => address() !== undefined, 60_000);
  return { cwd, child, ended, url: address()! };
}

/** A viewer of a run, with everything that its page complained of. */
async function viewer(url: string) {
  const { page, complaints } = await watchedPage(browser.context);
  await page.goto(url);
  return { page, complaints };
}

const recordIn = (cwd: string) => {
  const store = openRuns(join(cwd, 'ohmest.db'), { mode: 'read' });
  try {
    return store.run(1);
  } finally {
    store.close();
  }
};

const state = (page: Page) => page.locator('#state');
const figures = (page: Page) =>
  page
    .locator('#readings data')
    .evaluateAll((cells) =>
      cells.map((cell) => ({ value: Number(cell.getAttribute('value')), text: cell.textContent })),
    );
const points = async (page: Page) =>
  Number(/(\d+) points?/.exec((await page.textContent('#percent')) ?? '')?.[1] ?? 0);

/** The page shows a reading. */
const measured = (page: Page) => page.locator('#readings data').first().waitFor({ timeout: 60_000 });

test('the page grows with the run, and when it is over shows the figures of the database and what to type', async () => {
  const run = await liveRun(TWO_SWEEPS, HELD_DEVICE);
  const { page, complaints } = await viewer(run.url);
  await expect.poll(() => state(page).textContent()).toMatch(/of Two sweeps, on Program\.$/);
  expect(await page.locator('#readings data').count()).toBe(0);
  put(run.cwd, { go: '' });
  await expect.poll(() => state(page).textContent(), { timeout: 90_000 }).toMatch(/^Completed/);
  expect((await run.ended).status).toBe(0);
  const { readings, events, findings } = recordIn(run.cwd);
  const last = readings.at(-1)!;
  expect(await figures(page)).toEqual([
    { value: last.power_W, text: formatQuantity(last.power_W, 'W') },
    { value: last.voltage_V, text: formatQuantity(last.voltage_V, 'V') },
    { value: last.thdn_percent, text: formatQuantity(last.thdn_percent, '%') },
  ]);
  // That a step is left, the next one that is entered tells.
  expect(await page.locator('#events li').count()).toBe(
    events.filter(({ kind }) => kind !== 'step-left').length,
  );
  expect(findings.length).toBeGreaterThan(0);
  expect(await page.locator('#found tr').count()).toBe(
    new Set(findings.filter(isKnownFinding).map(findingKey)).size,
  );
  expect(await page.locator('#steps li.done').count()).toBe(2);
  expect(await page.locator('#panels svg').count()).toBe(2);
  expect(await page.locator('#typed').textContent()).toContain('ohmest show 1');
  expect(await page.locator('#stop').isVisible()).toBe(false);
  expect(await accessFaults(page)).toEqual([]);
  // It has died with the run, and does not take its own end for an accident.
  expect(await page.locator('#lost').isVisible()).toBe(false);
  expect(complaints).toEqual([]);
  expect(await fetch(run.url).catch(() => 'nobody')).toBe('nobody');
  await page.close();
});

test('two look on, one is killed, and the other stops the run by the keyboard: exit 130, readings kept', async () => {
  const run = await liveRun(LONG);
  const [one, two] = [await viewer(run.url), await viewer(run.url)];
  await measured(one.page);
  await measured(two.page);
  const before = await points(two.page);
  await one.page.close();
  await expect.poll(() => points(two.page), { timeout: 60_000 }).toBeGreaterThan(before);
  await two.page.locator('#stop').focus();
  await two.page.keyboard.press('Enter');
  await two.page.keyboard.press('Escape');
  expect(await two.page.locator('#confirm').isVisible()).toBe(false);
  await two.page.keyboard.press('Enter');
  await two.page.keyboard.press('Enter');
  expect(await run.ended).toMatchObject({ status: 130 });
  await expect.poll(() => state(two.page).textContent()).toMatch(/^Interrupted .*from the live page/);
  expect(await two.page.locator('#typed').textContent()).toContain('ohmest resume 1');
  // However far it came: the step that was going on is the one that is not done.
  const stages = await two.page.locator('#steps .stage').allTextContents();
  expect(stages.join(' ')).toMatch(/^(done )*begun( ahead)+$/);
  const record = recordIn(run.cwd);
  expect(record).toMatchObject({
    outcome: 'interrupted',
    reason: 'interrupted from the live page, output ramped down',
  });
  expect(record.readings.length).toBeGreaterThan(before);
  expect(two.complaints).toEqual([]);
  await two.page.close();
});

test('a run that is killed is said to be lost, with what to type', async () => {
  const run = await liveRun(LONG);
  const { page } = await viewer(run.url);
  await measured(page);
  run.child.kill('SIGKILL');
  await run.ended;
  await expect.poll(() => page.locator('#lost').textContent()).toContain('cannot be heard any more');
  expect(await page.locator('#typed').textContent()).toContain('ohmest resume 1');
  expect(await page.locator('#stop').isVisible()).toBe(false);
  expect(await accessFaults(page)).toEqual([]);
  await page.close();
});

import type { ChildProcess } from 'node:child_process';
import { once } from 'node:events';
import { createServer } from 'node:http';
import type { AddressInfo } from 'node:net';
import { join } from 'node:path';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { openRuns } from '../../src/store/sqlite/sqlite-runs.js';
import { formatQuantity } from '../../src/units/format.js';
import { until } from '../audio/until.js';
import { type Ended, emptyFolder, put, start } from '../cli/ohmest.js';
import { LONG } from '../cli/stand.js';
import { HOSTILE } from '../document/hostile.js';
import { accessFaults } from './access-faults.js';
import { type Browser, openBrowser } from './browser.js';
import { FAINT_TEXT, OVERFLOW } from './page-checks.js';
import { watchedPage } from './watched-page.js';

/** Texts of this sequence try to break out of where they are shown. */
const UNFRIENDLY = LONG.replace('steps:\n', `steps:\n  - ask: ${JSON.stringify(HOSTILE.script)}\n`);

const QUICK = `name: Two climbs
load: 8 ohm
steps:
  - climb: {id: first, frequency: 1 kHz, from: 1 W, marks: [0.1 %, 1 %]}
  - sweep: {id: last, level: 1 W, frequencies: [500 Hz, 1 kHz, 2 kHz]}
`;

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
async function liveRun(
  sequence: string,
  unit = 'Invented unit',
  more: readonly string[] = [],
): Promise<LiveRun> {
  const cwd = emptyFolder();
  put(cwd, { 'it.yaml': sequence });
  const args = ['run', 'it.yaml', '--bench', 'ideal-40', '--unit', unit, '--live', ...more];
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
async function viewer(url: string, width = 1024) {
  const { page, complaints } = await watchedPage(browser.context);
  await page.setViewportSize({ width, height: 900 });
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

async function stop(page: Page): Promise<void> {
  await page.locator('#stop').click();
  await page.locator('#stop-now').click();
}

test('the page grows with the run, and when it is over shows the figures of the database and what to type', async () => {
  const run = await liveRun(QUICK);
  const { page, complaints } = await viewer(run.url);
  await expect.poll(() => state(page).textContent(), { timeout: 90_000 }).toMatch(/^Completed/);
  expect((await run.ended).status).toBe(0);
  const { readings, events } = recordIn(run.cwd);
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
  expect(await page.locator('#found tr').count()).toBeGreaterThan(2);
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
  expect(await two.page.locator('#steps .stage').first().textContent()).toBe('begun');
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

test('hostile names and texts are shown as text', async () => {
  const run = await liveRun(UNFRIENDLY, HOSTILE.attribute, ['--claim', '20 W']);
  const { page, complaints } = await viewer(run.url);
  await measured(page);
  expect(await page.textContent('#unit')).toBe(HOSTILE.attribute);
  expect(await page.textContent('#events')).toContain(HOSTILE.script);
  expect(await page.locator('body script, [onmouseover], main img').count()).toBe(0);
  await stop(page);
  expect((await run.ended).status).toBe(130);
  expect(complaints).toEqual([]);
  await page.close();
});

test('without the token, or with another, nothing is shown', async () => {
  const run = await liveRun(LONG);
  const stranger = await browser.context.newPage();
  for (const address of [
    run.url.replace(/\?.*/, ''),
    run.url.replace(/.$/, (digit) => (digit === '0' ? '1' : '0')),
  ]) {
    const answer = await stranger.goto(address);
    expect(answer?.status()).toBe(403);
    expect(await stranger.textContent('body')).toMatch(/The token is (missing|wrong)/);
  }
  await stranger.close();
  run.child.kill('SIGINT');
  expect((await run.ended).status).toBe(130);
});

/** What a page of another origin tries, given the whole address of the live page but for its token. */
const ATTACK = `async (base) => {
  const tried = {};
  const read = async (name, options) => {
    try {
      const answer = await fetch(base + (options?.method ? '/stop' : '/'), { credentials: 'include', ...options });
      tried[name] = answer.type === 'opaque' ? 'opaque' : 'read ' + (await answer.text()).slice(0, 40);
    } catch (error) {
      tried[name] = 'refused';
    }
  };
  await read('fetch');
  await read('fetch without cors', { mode: 'no-cors' });
  await read('post', { method: 'POST', headers: { 'X-Ohmest-Token': '0' } });
  await read('post without cors', { method: 'POST', mode: 'no-cors', body: 'x' });
  tried.events = await new Promise((done) => {
    const source = new EventSource(base + '/changes', { withCredentials: true });
    source.onopen = () => done('read');
    source.onerror = () => { source.close(); done('refused'); };
  });
  tried.image = await new Promise((done) => {
    const image = new Image();
    image.onload = () => done('read');
    image.onerror = () => done('refused');
    image.src = base + '/';
  });
  tried.script = await new Promise((done) => {
    const script = document.createElement('script');
    script.onload = () => done('read');
    script.onerror = () => done('refused');
    script.src = base + '/code/view/live/client/live.js';
    document.head.append(script);
  });
  const frame = document.createElement('iframe');
  frame.name = 'inside';
  const loaded = new Promise((done) => frame.addEventListener('load', done));
  frame.src = base + '/';
  document.body.append(frame);
  await loaded;
  const form = Object.assign(document.createElement('form'), { method: 'POST', action: base + '/stop', target: 'inside' });
  document.body.append(form);
  const posted = new Promise((done) => frame.addEventListener('load', done, { once: true }));
  form.submit();
  await posted;
  return tried;
}`;

test('a page of another origin can neither read the run nor stop it, even if it knows the path', async () => {
  const run = await liveRun(LONG);
  const { page } = await viewer(run.url);
  await measured(page);
  const base = page.url().replace(/\/$/, '');
  const cookiesSeen: string[] = [];
  const hostile = createServer((request, response) => {
    cookiesSeen.push(request.headers.cookie ?? '');
    response.writeHead(200, { 'Content-Type': 'text/html' }).end('<!doctype html><title>hostile</title>');
  });
  hostile.listen(0, '127.0.0.1');
  await once(hostile, 'listening');
  const { port } = hostile.address() as AddressInfo;
  // Another port of this machine is the nearest that a stranger can come: the browser takes it for the same site.
  for (const host of ['127.0.0.1', 'localhost']) {
    const stranger = await browser.context.newPage();
    await stranger.goto(`http://${host}:${port}/`);
    const tried = await stranger.evaluate(`(${ATTACK})(${JSON.stringify(base)})`);
    expect(tried).toEqual({
      fetch: 'refused',
      // Sent, answered with a refusal, and not to be read.
      'fetch without cors': expect.stringMatching(/^(opaque|refused)$/),
      post: 'refused',
      'post without cors': expect.stringMatching(/^(opaque|refused)$/),
      events: 'refused',
      image: 'refused',
      script: 'refused',
    });
    for (const frame of stranger.frames().slice(1))
      expect(
        await frame
          .locator('#unit')
          .count()
          .catch(() => 0),
      ).toBe(0);
    await stranger.close();
  }
  hostile.closeAllConnections();
  hostile.close();
  expect(cookiesSeen.join('')).not.toContain('ohmest');
  const before = await points(page);
  await expect.poll(() => points(page), { timeout: 60_000 }).toBeGreaterThan(before);
  expect(run.child.exitCode).toBeNull();
  await stop(page);
  expect((await run.ended).status).toBe(130);
  await page.close();
});

test.each([390, 1024, 1600])(
  'the page fits a window of %d pixels, with nothing that axe-core finds fault with',
  async (width) => {
    const run = await liveRun(LONG);
    const { page, complaints } = await viewer(run.url, width);
    await measured(page);
    for (const colorScheme of ['light', 'dark'] as const) {
      await page.emulateMedia({ colorScheme });
      expect(await page.evaluate(OVERFLOW)).toBe(0);
      // The stop button is ink on paper turned round: its own background is not the page's.
      const faint = (await page.evaluate(FAINT_TEXT)) as string[];
      expect(await accessFaults(page)).toEqual([]);
      expect(faint.filter((text) => !/^(Stop the run|Ramp down and stop)/.test(text))).toEqual([]);
    }
    run.child.kill('SIGINT');
    await run.ended;
    expect(complaints).toEqual([]);
    await page.close();
  },
);

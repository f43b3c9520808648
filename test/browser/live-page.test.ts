import { once } from 'node:events';
import { createServer } from 'node:http';
import type { AddressInfo } from 'node:net';
import type { Page } from 'playwright-core';
import { afterAll, afterEach, beforeAll, describe, expect, test } from 'vitest';
import type { RunAbout } from '../../src/view/run-view.js';
import { HOSTILE } from '../document/hostile.js';
import { accessFaults } from './access-faults.js';
import { ATTACK } from './attack.js';
import { type Browser, openBrowser } from './browser.js';
import { inventedLivePage } from './invented-live-page.js';
import { FAINT_TEXT, OVERFLOW } from './page-checks.js';
import { watchedPage } from './watched-page.js';

const MOVE =
  'Switch the unit off. Connect 4 ohm to each of channels 1 and 2. Switch the unit on again. Done?';
const WIDTHS = [390, 1024, 1600];

let browser: Browser;
let run: Awaited<ReturnType<typeof inventedLivePage>>;

beforeAll(async () => {
  browser = await openBrowser();
});
afterAll(async () => browser.close());
afterEach(async () => {
  for (const page of browser.context.pages().slice(1)) await page.close();
  await run.cut();
});

/** Serves an invented run after so many of its points, and looks on. */
async function lookingOn({ points = 0, about = {} }: { points?: number; about?: Partial<RunAbout> } = {}) {
  run = await inventedLivePage(about);
  run.play(points);
  const { page, complaints } = await watchedPage(browser.context);
  await page.goto(run.url);
  if (points > 0) await page.locator('#readings data').first().waitFor();
  return { page, complaints };
}

const points = async (page: Page) =>
  Number(/(\d+) points?/.exec((await page.textContent('#percent')) ?? '')?.[1] ?? 0);

function promised<T>() {
  let keep!: (value: T) => void;
  const promise = new Promise<T>((resolve) => {
    keep = resolve;
  });
  return { promise, keep };
}

test('it fits every window in the light and in the dark, with nothing that axe-core finds fault with', async () => {
  const { page, complaints } = await lookingOn({ points: 40 });
  run.conclude();
  await page.locator('#found tr').first().waitFor();
  for (const width of WIDTHS) {
    await page.setViewportSize({ width, height: 900 });
    for (const colorScheme of ['light', 'dark'] as const) {
      await page.emulateMedia({ colorScheme });
      expect(await page.evaluate(OVERFLOW)).toBe(0);
      // The stop button is ink on paper turned round: its own background is not the page's.
      const faint = (await page.evaluate(FAINT_TEXT)) as string[];
      expect(faint.filter((text) => !/^(Stop the run|Ramp down and stop)/.test(text))).toEqual([]);
    }
    expect(await accessFaults(page, { contrast: width === 390 })).toEqual([]);
  }
  expect(complaints).toEqual([]);
});

test('a question is shown with the place where it can be answered, and goes when it was', async () => {
  const { page, complaints } = await lookingOn();
  const question = page.locator('#question');
  await page.locator('#walk').waitFor();
  expect(await question.isVisible()).toBe(false);
  run.watch.asks(MOVE);
  await question.waitFor();
  const words = (await question.textContent())!.replaceAll('\u00a0', ' ');
  expect(words).toContain(MOVE);
  expect(words).toContain('This page cannot answer. Answer in the terminal that the run was started in.');
  expect(await question.getAttribute('role')).toBe('alert');
  await expect.poll(() => page.title()).toMatch(/^Question · /);
  for (const width of WIDTHS) {
    await page.setViewportSize({ width, height: 900 });
    expect(await page.evaluate(OVERFLOW)).toBe(0);
    // Above the fold: it is what everything waits for.
    const { y, height } = (await question.boundingBox())!;
    expect(y + height).toBeLessThan(900);
  }
  expect(await accessFaults(page)).toEqual([]);
  run.watch.asks(null);
  await question.waitFor({ state: 'hidden' });
  await expect.poll(() => page.title()).toMatch(/^0 % · /);
  expect(complaints).toEqual([]);
});

test('hostile names and texts are shown as text', async () => {
  const { page, complaints } = await lookingOn({
    points: 1,
    about: { unit: HOSTILE.attribute, claim: HOSTILE.script },
  });
  run.watch.take({ kind: 'note', topic: 'rest', text: HOSTILE.script, at_s: 3 });
  run.watch.asks(HOSTILE.script);
  await page.locator('#question').waitFor();
  expect(await page.locator('#asked').textContent()).toBe(HOSTILE.script);
  expect(await page.textContent('#unit')).toBe(HOSTILE.attribute);
  expect(await page.textContent('#events')).toContain(HOSTILE.script);
  expect(await page.locator('main script, header script, [onmouseover], main img').count()).toBe(0);
  expect(complaints).toEqual([]);
});

describe('at the end of a run', () => {
  /** A page whose first script is held back until it is let go. */
  async function heldBack() {
    run = await inventedLivePage();
    run.play(3);
    const { page, complaints } = await watchedPage(browser.context);
    const asked = promised<void>();
    const going = promised<'continue' | 'abort'>();
    await page.route('**/live.js', async (route) => {
      asked.keep();
      await route[await going.promise]();
    });
    await page.goto(run.url, { waitUntil: 'commit' });
    await asked.promise;
    return { page, complaints, letGo: going.keep };
  }

  test('a page that was still loading shows how it ended', async () => {
    const { page, complaints, letGo } = await heldBack();
    run.end();
    const closed = run.close();
    letGo('continue');
    await expect.poll(() => page.textContent('#state')).toBe('Completed.');
    await closed;
    expect(await page.locator('#typed').textContent()).toContain('ohmest show 7');
    expect(await page.locator('#readings data').count()).toBeGreaterThan(0);
    expect(await page.locator('#unreached, #lost').filter({ visible: true }).count()).toBe(0);
    expect(complaints).toEqual([]);
  });

  test.each([
    ['scripts', 'abort'],
    ['stream', 'continue'],
  ] as const)('a page that could not load its %s any more says so, and what to type', async (_what, how) => {
    const { page, letGo } = await heldBack();
    await page.route('**/changes', (route) => route.abort());
    letGo(how);
    await page.locator('#unreached').waitFor();
    expect(await page.textContent('#unreached')).toMatch(
      /^The run cannot be reached: it has ended, .*ohmest runs/,
    );
    expect(await page.locator('#state, #live').filter({ visible: true }).count()).toBe(0);
    expect(await accessFaults(page)).toEqual([]);
  });
});

describe('a stranger', () => {
  test('is shown nothing without the token, or with another', async () => {
    await lookingOn();
    const stranger = await browser.context.newPage();
    for (const address of [
      run.url.replace(/\?.*/, ''),
      run.url.replace(/.$/, (digit) => (digit === '0' ? '1' : '0')),
    ]) {
      const answer = await stranger.goto(address);
      expect(answer?.status()).toBe(403);
      expect(await stranger.textContent('body')).toMatch(/The token is (missing|wrong)/);
    }
  });

  test('of another origin can neither read the run nor stop it, even if it knows the path', async () => {
    const { page } = await lookingOn({ points: 2 });
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
    }
    hostile.closeAllConnections();
    hostile.close();
    expect(cookiesSeen.join('')).not.toContain('ohmest');
    expect(run.stops()).toBe(0);
    run.play(1);
    await expect.poll(() => points(page)).toBe(3);
    // What the page itself may do.
    await page.locator('#stop').click();
    await page.locator('#stop-now').click();
    await expect.poll(() => run.stops()).toBe(1);
  });
});

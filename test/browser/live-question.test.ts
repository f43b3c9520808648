import { fileURLToPath } from 'node:url';
import { afterAll, afterEach, beforeAll, beforeEach, expect, test } from 'vitest';
import { LiveFeed } from '../../src/view/live/live-feed.js';
import { liveRoutes } from '../../src/view/live/live-routes.js';
import { serveLocally } from '../../src/view/local-server.js';
import { RunWatch } from '../../src/view/run-watch.js';
import { HOSTILE } from '../document/hostile.js';
import { ABOUT } from '../view/invented-about.js';
import { accessFaults } from './access-faults.js';
import { type Browser, openBrowser } from './browser.js';
import { OVERFLOW } from './page-checks.js';
import { watchedPage } from './watched-page.js';

const BUILT = fileURLToPath(new URL('../../dist/', import.meta.url));
const NEXT = { show: 'ohmest show 7', report: 'ohmest report 7 -o r.html', resume: 'ohmest resume 7' };
const MOVE =
  'Switch the unit off. Connect 4 ohm to each of channels 1 and 2. Switch the unit on again. Done?';

let browser: Browser;
let server: Awaited<ReturnType<typeof serveLocally>>;
let watch: RunWatch;

beforeAll(async () => {
  browser = await openBrowser();
});
afterAll(async () => browser.close());

beforeEach(async () => {
  const feed = new LiveFeed();
  watch = new RunWatch({ ...ABOUT, armed: [], steps: [] });
  feed.begin(watch, NEXT);
  server = await serveLocally({ port: 0, routes: liveRoutes({ feed, stop: () => {}, built: BUILT }) });
});
afterEach(async () => server.close());

async function opened(width: number) {
  const { page, complaints } = await watchedPage(browser.context);
  await page.setViewportSize({ width, height: 900 });
  await page.goto(server.url);
  return { page, complaints };
}

test.each([390, 1024, 1600])(
  'at %d pixels a question is shown with the place where it can be answered, and goes when it was',
  async (width) => {
    const { page, complaints } = await opened(width);
    const question = page.locator('#question');
    await page.locator('#walk').waitFor();
    expect(await question.isVisible()).toBe(false);
    watch.asks(MOVE);
    await question.waitFor();
    const words = (await question.textContent())!.replaceAll('\u00a0', ' ');
    expect(words).toContain(MOVE);
    expect(words).toContain('This page cannot answer. Answer in the terminal that the run was started in.');
    expect(await question.getAttribute('role')).toBe('alert');
    await expect.poll(() => page.title()).toMatch(/^Question · /);
    expect(await page.evaluate(OVERFLOW)).toBe(0);
    expect(await accessFaults(page)).toEqual([]);
    // Above the fold: it is what everything waits for.
    const { y, height } = (await question.boundingBox())!;
    expect(y + height).toBeLessThan(900);
    watch.asks(null);
    await question.waitFor({ state: 'hidden' });
    await expect.poll(() => page.title()).toMatch(/^0 % · /);
    expect(complaints).toEqual([]);
    await page.close();
  },
);

test('a question with hostile text is shown as text', async () => {
  watch.asks(HOSTILE.script);
  const { page, complaints } = await opened(1024);
  await page.locator('#question').waitFor();
  expect(await page.locator('#asked').textContent()).toBe(HOSTILE.script);
  expect(complaints).toEqual([]);
  await page.close();
});

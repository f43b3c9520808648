import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { comparisonReport } from '../../src/document/comparison/comparison-report.js';
import { htmlReport } from '../../src/document/html/html-report.js';
import { invented } from '../document/fixture.js';
import { HOSTILE } from '../document/hostile.js';
import { inventedMatrix } from '../document/matrix-fixture.js';
import { accessFaults } from './access-faults.js';
import { type Browser, openBrowser } from './browser.js';
import { OVERFLOW } from './page-checks.js';
import { watchedPage } from './watched-page.js';

let browser: Browser;

beforeAll(async () => {
  browser = await openBrowser();
});

afterAll(async () => {
  await browser.close();
});

/** A report in a window of `width` pixels, and everything that it complained of. */
async function shown(text: string, width = 1024) {
  const file = join(browser.folder, 'read.html');
  writeFileSync(file, text);
  const { page, complaints } = await watchedPage(browser.context);
  await page.setViewportSize({ width, height: 900 });
  await page.goto(pathToFileURL(file).href);
  return { page, complaints };
}

const HINT = 'To read a point, point at it, or press Tab and then the arrow keys.';

/** The first chart of a page: what is read there, by the spaces of a typewriter, and where the ring stands. */
const chart = (page: Page, nth = 0) => {
  const plot = page.locator('.plot').nth(nth);
  return {
    plot,
    svg: plot.locator('svg:visible').first(),
    read: async () => (await plot.locator('.readout').textContent())!.replaceAll('\u00a0', ' '),
    ring: () => plot.locator('svg:visible .ring').boundingBox(),
  };
};

/** The middle of the marker with this index (from 0) on the first curve of a drawing, in pixels of the window. */
async function markerAt(page: Page, index: number) {
  const box = await chart(page)
    .svg.locator('g[data-points]')
    .first()
    .locator('path')
    .nth(index)
    .boundingBox();
  return { x: box!.x + box!.width / 2, y: box!.y + box!.height / 2 };
}

const middleOf = (box: { x: number; y: number; width: number; height: number } | null) => ({
  x: box!.x + box!.width / 2,
  y: box!.y + box!.height / 2,
});

const climbed = invented()
  .readings.filter(({ step, channel }) => step === 'climb-1k' && channel === 1)
  .sort((a, b) => a.power_W - b.power_W);
const watts = (text: string) => Number(/: ([\d.]+) W/.exec(text)![1]);

describe.each([390, 1024, 1600])('at %d pixels', (width) => {
  test('a pointer near a marker reads it, wherever it stands, and nothing is left when it goes', async () => {
    const { page, complaints } = await shown(htmlReport(invented()), width);
    const { svg, read, ring } = chart(page);
    await svg.scrollIntoViewIfNeeded();
    expect(await read()).toBe(HINT);
    // Of the flat part, where no other marker is near.
    for (const index of [8, 12, 16]) {
      const { x, y } = await markerAt(page, index);
      await page.mouse.move(x + 1, y - 1);
      expect(await read()).toMatch(/^channel [12]: .*W ± .*, .*V, THD\+N 0\.\d+ %/);
      expect(Math.abs(watts(await read()) / climbed[index]!.power_W - 1)).toBeLessThan(0.01);
      const at = middleOf(await ring());
      expect(Math.hypot(at.x - x, at.y - y)).toBeLessThan(3);
    }
    await page.mouse.move(0, 0);
    expect(await read()).toBe(HINT);
    expect(await page.evaluate(OVERFLOW)).toBe(0);
    expect(complaints).toEqual([]);
    await page.close();
  });

  test('arrow keys go along a curve and from curve to curve, to the ends and out again', async () => {
    const { page } = await shown(htmlReport(invented()), width);
    const { plot, read } = chart(page);
    await plot.focus();
    expect(await read()).toBe('channel 1: 50.0 mW ± 0.4 mW, 631.3 mV, THD+N 0.072 %; floor-limited');
    await page.keyboard.press('ArrowRight');
    const second = await read();
    expect(second).toMatch(/^channel 1: /);
    await page.keyboard.press('ArrowDown');
    expect(await read()).toMatch(/^channel 2: /);
    await page.keyboard.press('ArrowUp');
    expect(await read()).toBe(second);
    await page.keyboard.press('End');
    expect(watts(await read())).toBeCloseTo(climbed.at(-1)!.power_W, 1);
    await page.keyboard.press('ArrowRight');
    expect(watts(await read())).toBeCloseTo(climbed.at(-1)!.power_W, 1);
    await page.keyboard.press('Home');
    expect(await read()).toMatch(/^channel 1: 50\.0 mW/);
    await page.keyboard.press('Escape');
    expect(await read()).toBe(HINT);
    await page.close();
  });
});

test('an accessibility checker finds nothing to complain of while a point is read', async () => {
  for (const record of [invented({ channels: 7, climbPoints: 8 }), inventedMatrix()]) {
    const { page } = await shown(htmlReport(record), 390);
    await chart(page).plot.focus();
    for (const width of [390, 1600]) {
      await page.setViewportSize({ width, height: 900 });
      expect(await accessFaults(page, { contrast: width === 390 })).toEqual([]);
    }
    await page.close();
  }
});

test('every chart can be reached by Tab alone, and every point of it by the arrow keys', async () => {
  const { page } = await shown(htmlReport(invented()));
  const plots = await page.locator('.plot').count();
  const names = new Set<string>();
  // Tables that scroll are reached by it, too.
  const all = await page.locator('[tabindex="0"], summary').count();
  for (let i = 0; i < all; i++) {
    await page.keyboard.press('Tab');
    const name = (await page.evaluate('document.activeElement.getAttribute("aria-label")')) as string | null;
    if (name?.startsWith('Points of the chart, by arrow keys: ')) names.add(name);
  }
  expect(names.size).toBe(plots);
  const { plot, read, svg } = chart(page);
  const points = await svg.locator('g[data-points]').first().locator('path').count();
  await plot.focus();
  const reads = new Set([await read()]);
  for (let i = 1; i < points; i++) {
    await page.keyboard.press('ArrowRight');
    reads.add(await read());
  }
  expect(points).toBe(climbed.length);
  expect(reads.size).toBe(points);
  await page.close();
});

test('what is read is announced, and the keys of the browser stay with it', async () => {
  const { page } = await shown(htmlReport(invented()));
  const { plot, read } = chart(page);
  expect(await plot.locator('.readout').getAttribute('aria-live')).toBe('polite');
  await plot.focus();
  const before = await read();
  await page.keyboard.press('Control+ArrowRight');
  expect(await read()).toBe(before);
  await page.close();
});

test('a finger that is lifted leaves what it pointed at', async () => {
  const page = await browser.context.newPage();
  const session = await browser.context.newCDPSession(page);
  await session.send('Emulation.setTouchEmulationEnabled', { enabled: true });
  const file = join(browser.folder, 'read.html');
  writeFileSync(file, htmlReport(invented()));
  await page.setViewportSize({ width: 390, height: 900 });
  await page.goto(pathToFileURL(file).href);
  await chart(page).svg.scrollIntoViewIfNeeded();
  const { x, y } = await markerAt(page, 12);
  await session.send('Input.dispatchTouchEvent', { type: 'touchStart', touchPoints: [{ x, y }] });
  await session.send('Input.dispatchTouchEvent', { type: 'touchEnd', touchPoints: [] });
  expect(Math.abs(watts(await chart(page).read()) / climbed[12]!.power_W - 1)).toBeLessThan(0.01);
  await page.close();
});

test('on paper there is no line and no ring', async () => {
  const { page } = await shown(htmlReport(invented()));
  await chart(page).plot.focus();
  await page.emulateMedia({ media: 'print' });
  expect(await page.locator('.readout:visible').count()).toBe(0);
  expect(await page.locator('.ring:visible').count()).toBe(0);
  await page.close();
});

test('without script every marker tells its values to a resting pointer, and nothing else is missing', async () => {
  const { page } = await shown(htmlReport(invented()));
  const session = await page.context().newCDPSession(page);
  await session.send('Emulation.setScriptExecutionDisabled', { value: true });
  await page.reload();
  const { svg, plot } = chart(page);
  expect(await plot.locator('.readout').count()).toBe(0);
  expect(await plot.getAttribute('tabindex')).toBe(null);
  const titles = await svg.locator('g[data-points] title').count();
  expect(titles).toBe(await svg.locator('g[data-points] path').count());
  expect(titles).toBeGreaterThan(climbed.length);
  await page.close();
});

test('a comparison is read in the same way, hostile names as text', async () => {
  const records = [invented(), invented({ run: 20, label: HOSTILE.script })];
  const { page, complaints } = await shown(comparisonReport(records));
  const { plot, read } = chart(page);
  await plot.focus();
  const lines = new Set<string>();
  for (let i = 0; i < 6; i++) {
    await page.keyboard.press('ArrowDown');
    lines.add((await read()).replace(/, channel.*/, ''));
  }
  expect([...lines].join(' ')).toContain('run 20, </title></style></script><script>alert(1)</scri…');
  expect(complaints).toEqual([]);
  await page.close();
});

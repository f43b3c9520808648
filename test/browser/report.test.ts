import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { htmlReport } from '../../src/document/html/html-report.js';
import type { Result } from '../../src/record/old-results.js';
import type { RunRecord } from '../../src/record/run-record.js';
import { interruptedAtPoint3, invented, withoutReadings } from '../document/fixture.js';
import { HOSTILE } from '../document/hostile.js';
import { inventedMatrix } from '../document/matrix-fixture.js';
import { resultsIn, withResults } from '../record/results.js';
import { accessFaults } from './access-faults.js';
import { type Browser, openBrowser } from './browser.js';
import {
  BREAKABLE_FIGURES,
  FAINT_TEXT,
  illFormedCharts,
  OVERFLOW,
  REACH_OF_MARKERS,
  SHOWN_CHARTS,
  TABLE_OVERFLOWS,
  TABLE_VALUES,
} from './page-checks.js';
import { watchedPage } from './watched-page.js';

interface ShownChart {
  readonly left: number;
  readonly right: number;
  readonly height: number;
  readonly textLeft: number;
  readonly textRight: number;
  readonly textSize: number;
  readonly figureHeight: number;
}

let browser: Browser;

beforeAll(async () => {
  browser = await openBrowser();
});

afterAll(async () => {
  await browser.close();
});

/** The report of `record` in a window of `width` pixels, with everything that the page complained of or asked for. */
async function shown(record: RunRecord, width: number, colorScheme: 'light' | 'dark' = 'light') {
  const file = join(browser.folder, 'report.html');
  const text = htmlReport(record);
  writeFileSync(file, text);
  const { page, complaints } = await watchedPage(browser.context);
  const requests: string[] = [];
  page.on('request', (request) => requests.push(request.url()));
  await page.setViewportSize({ width, height: 900 });
  await page.emulateMedia({ colorScheme });
  const address = pathToFileURL(file).href;
  await page.goto(address);
  return { page, text, complaints, requests: requests.filter((url) => url !== address) };
}

const CASES: Readonly<Record<string, RunRecord>> = {
  'two channels': invented(),
  'seven channels': invented({ channels: 7 }),
  'a run interrupted at point 3': interruptedAtPoint3(),
  'a run without readings': withoutReadings(),
  'ceilings, holds and probes': inventedMatrix(),
  ...Object.fromEntries(
    Object.entries(HOSTILE).map(([name, text]) => [
      `a run with a hostile text (${name})`,
      invented({ channels: 1, label: text, note: text, benchName: text }),
    ]),
  ),
};

test.each(Object.entries(CASES))(
  'the report of %s fits every window, has text of enough contrast in the light and in the dark, and asks for nothing',
  async (_, record) => {
    const { page, complaints, requests, text } = await shown(record, 390);
    expect(await page.evaluate(illFormedCharts(text))).toBe(0);
    for (const width of [390, 1024, 1600]) {
      await page.setViewportSize({ width, height: 900 });
      expect(await page.evaluate(OVERFLOW), `${width} pixels`).toBe(0);
    }
    for (const colorScheme of ['light', 'dark'] as const) {
      await page.emulateMedia({ colorScheme });
      expect(await page.evaluate(FAINT_TEXT), colorScheme).toEqual([]);
    }
    expect(complaints).toEqual([]);
    expect(requests).toEqual([]);
    await page.close();
  },
);

async function charts(page: Page): Promise<ShownChart[]> {
  return page.evaluate(SHOWN_CHARTS);
}

test('charts keep their text inside and readable at every width', async () => {
  const { page } = await shown(invented(), 390);
  for (const width of [390, 768, 1024, 1600]) {
    await page.setViewportSize({ width, height: 900 });
    const found = await charts(page);
    expect(found).toHaveLength(5);
    for (const chart of found) {
      expect(chart.textLeft).toBeGreaterThanOrEqual(chart.left - 1);
      expect(chart.textRight).toBeLessThanOrEqual(chart.right + 1);
      expect(chart.textSize).toBeGreaterThan(10);
    }
  }
  await page.close();
});

// Only contrast differs with the colours, and is looked at in every report above.
test.each([
  ['seven channels', invented({ channels: 7, climbPoints: 8 }), 'light'],
  ['maximum powers, holds and sensors', inventedMatrix(), 'dark'],
] as const)(
  'an accessibility checker finds nothing to complain of at any width in a report of %s',
  async (_, record, scheme) => {
    const { page } = await shown(record, 390, scheme);
    for (const width of [390, 1024, 1600]) {
      await page.setViewportSize({ width, height: 900 });
      expect(await accessFaults(page, { contrast: width === 390 })).toEqual([]);
    }
    await page.close();
  },
);

test('a pointer finds every marker within 24 pixels', async () => {
  const { page } = await shown(inventedMatrix(), 1024);
  for (const width of [1024, 1600]) {
    await page.setViewportSize({ width, height: 900 });
    const reach = (await page.evaluate(REACH_OF_MARKERS)) as number[];
    expect(reach.length).toBeGreaterThan(20);
    expect(Math.min(...reach)).toBeGreaterThanOrEqual(24);
  }
  await page.close();
});

/** In points, 72 to the inch. */
const mediaBoxes = (pdf: string): (readonly [number, number])[] =>
  [...pdf.matchAll(/\/MediaBox\s*\[0 0 ([\d.]+) ([\d.]+)\]/g)].map(
    ([, w, h]) => [Number(w), Number(h)] as const,
  );

// Paper in CSS pixels (96 to the inch), less the 15 mm margins of the style sheet.
describe.each([
  ['A4', 210, 297],
  ['Letter', 215.9, 279.4],
] as const)('on %s', (format, width_mm, height_mm) => {
  const [width, height] = [width_mm, height_mm].map((mm) => Math.floor(((mm - 30) / 25.4) * 96)) as [
    number,
    number,
  ];
  const PRINTED: Readonly<Record<string, RunRecord>> = {
    'seven channels': invented({ channels: 7 }),
    'maximum powers of eight channels': withResults(
      inventedMatrix(),
      eightChannels(resultsIn(inventedMatrix())),
    ),
  };

  test.each(Object.entries(PRINTED))(
    'no chart and no table of %s is cut at the side or by the end of a page',
    async (_, record) => {
      const { page } = await shown(record, width);
      await page.emulateMedia({ media: 'print' });
      // What is wider than the paper makes a browser print everything smaller.
      expect(await page.evaluate(OVERFLOW)).toBe(0);
      expect(await page.evaluate(TABLE_OVERFLOWS)).toEqual([]);
      for (const chart of await charts(page)) {
        expect(chart.left).toBeGreaterThanOrEqual(0);
        expect(chart.right).toBeLessThanOrEqual(width);
        expect(Math.min(chart.textLeft, width - chart.textRight)).toBeGreaterThanOrEqual(0);
        expect(chart.figureHeight).toBeLessThan(height);
      }
      expect(await page.evaluate(BREAKABLE_FIGURES)).toBe(0);
      await page.close();
    },
  );

  test('the document has pages of that size, the first of them with a chart', async () => {
    const { page } = await shown(invented(), width);
    const text = (await page.pdf({ format })).toString('latin1');
    const pages = text.match(/\/Type\s*\/Page\b/g) ?? [];
    expect(pages.length).toBeGreaterThanOrEqual(2);
    expect(pages.length).toBeLessThanOrEqual(8);
    for (const [w, h] of mediaBoxes(text)) {
      expect(w).toBeCloseTo((width_mm / 25.4) * 72, -0.5);
      expect(h).toBeCloseTo((height_mm / 25.4) * 72, -0.5);
    }
    await page.emulateMedia({ media: 'print' });
    const first = page.locator('figure').first();
    const box = (await first.boundingBox())!;
    expect(box.y + box.height).toBeLessThan(height);
    await page.close();
  });
});

/** Ceilings of two channels as if there were eight. */
function eightChannels(results: readonly Result[]): Result[] {
  return results.flatMap((result): Result[] =>
    result.kind === 'ceiling'
      ? [0, 2, 4, 6].map((more) => ({ ...result, channel: result.channel + more }))
      : [result],
  );
}

test('the tables hold the values of the record', async () => {
  const record = invented();
  const { page } = await shown(record, 1024);
  const values = new Set((await page.evaluate(TABLE_VALUES)) as number[]);
  for (const result of resultsIn(record)) {
    if (result.kind === 'band') expect(values).toContain(result.least_power_W);
    else if ('power_W' in result) expect(values).toContain(result.power_W);
  }
  await page.close();
});

test('readings unfold on a click, one row for each', async () => {
  const record = invented();
  const { page } = await shown(record, 1024);
  const rows = page.locator('details', { hasText: 'Every reading' }).locator('tbody tr');
  expect(await rows.first().isVisible()).toBe(false);
  await page.getByText(`Every reading (${record.readings.length} readings)`).click();
  expect(await rows.first().isVisible()).toBe(true);
  expect(await rows.count()).toBe(record.readings.length);
  await page.close();
});

test('a hostile label is shown as the text that it is', async () => {
  const { page } = await shown(invented({ label: HOSTILE.attribute }), 1024);
  expect(await page.locator('h1').textContent()).toBe(HOSTILE.attribute);
  expect(await page.title()).toBe(HOSTILE.attribute);
  await page.close();
});

test('landmarks, headings and figures are named for those who cannot see them', async () => {
  const { page } = await shown(invented(), 1024);
  for (const role of ['banner', 'main', 'contentinfo'] as const)
    expect(await page.getByRole(role).count()).toBe(1);
  expect(await page.getByRole('region', { name: 'Ratings', exact: true }).count()).toBe(1);
  expect(await page.getByRole('figure', { name: /THD\+N against power/ }).count()).toBe(1);
  expect(await page.getByRole('img', { name: /0\.1\s% is reached at 87\.7\sW to 88\.9\sW/ }).count()).toBe(1);
  expect(await page.getByRole('rowheader', { name: 'Measuring band' }).count()).toBe(1);
  await page.close();
});

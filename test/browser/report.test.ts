import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { RunRecord } from '../../src/record/run-record.js';
import { htmlReport } from '../../src/report/html-report.js';
import { interruptedAtPoint3, invented, withoutReadings } from '../report/fixture.js';
import { HOSTILE } from '../report/hostile.js';
import { inventedMatrix } from '../report/matrix-fixture.js';
import { type Browser, openBrowser } from './browser.js';
import { FAINT_TEXT, illFormedCharts, OVERFLOW, SHOWN_CHARTS, TABLE_VALUES } from './page-probe.js';

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

/** The report of `records` in a window of `width` pixels, with everything that the page complained of or asked for. */
async function shown(records: readonly RunRecord[], width: number, colorScheme: 'light' | 'dark' = 'light') {
  const file = join(browser.folder, 'report.html');
  const text = htmlReport(records[0]!);
  writeFileSync(file, text);
  const page = await browser.context.newPage();
  const complaints: string[] = [];
  const requests: string[] = [];
  page.on('console', (message) => complaints.push(message.text()));
  page.on('pageerror', (error) => complaints.push(error.message));
  page.on('dialog', (dialog) => {
    complaints.push(dialog.message());
    void dialog.dismiss();
  });
  page.on('request', (request) => requests.push(request.url()));
  await page.setViewportSize({ width, height: 900 });
  await page.emulateMedia({ colorScheme });
  const address = pathToFileURL(file).href;
  await page.goto(address);
  return { page, text, complaints, requests: requests.filter((url) => url !== address) };
}

const CASES: Readonly<Record<string, readonly RunRecord[]>> = {
  'two channels': [invented()],
  'seven channels': [invented({ channels: 7 })],
  'ceilings, holds and probes': [inventedMatrix()],
  'a run interrupted at point 3': [interruptedAtPoint3()],
  'a run without readings': [withoutReadings()],
  'hostile texts': Object.values(HOSTILE).map((text, i) =>
    invented({ run: i + 1, channels: 1, label: text, note: text, benchName: text }),
  ),
};

describe.each(Object.entries(CASES))('the report of %s', (_, records) => {
  test.each([390, 1024, 1600])(
    'fits a window of %d pixels, in silence and without network',
    async (width) => {
      const { page, complaints, requests, text } = await shown(records, width);
      expect(complaints).toEqual([]);
      expect(requests).toEqual([]);
      expect(await page.evaluate(OVERFLOW)).toBe(0);
      expect(await page.evaluate(illFormedCharts(text))).toBe(0);
      await page.close();
    },
  );

  test.each(['light', 'dark'] as const)('has text of enough contrast in the %s', async (scheme) => {
    const { page } = await shown(records, 1024, scheme);
    expect(await page.evaluate(FAINT_TEXT)).toEqual([]);
    await page.close();
  });
});

async function charts(page: Page): Promise<ShownChart[]> {
  return page.evaluate(SHOWN_CHARTS);
}

test.each([390, 768, 1024, 1600])(
  'charts keep their text inside and readable at %d pixels',
  async (width) => {
    const { page } = await shown([invented()], width);
    const found = await charts(page);
    expect(found).toHaveLength(5);
    for (const chart of found) {
      expect(chart.textLeft).toBeGreaterThanOrEqual(chart.left - 1);
      expect(chart.textRight).toBeLessThanOrEqual(chart.right + 1);
      expect(chart.textSize).toBeGreaterThan(10);
    }
    await page.close();
  },
);

// Paper in CSS pixels (96 to the inch), less the 15 mm margins of the style sheet.
test.each([
  ['A4', 210, 297],
  ['Letter', 215.9, 279.4],
] as const)(
  'on %s no chart is cut at the side or by the end of a page',
  async (format, width_mm, height_mm) => {
    const [width, height] = [width_mm, height_mm].map((mm) => Math.floor(((mm - 30) / 25.4) * 96)) as [
      number,
      number,
    ];
    const { page } = await shown([invented({ channels: 7 })], width);
    await page.emulateMedia({ media: 'print' });
    expect(await page.evaluate(OVERFLOW)).toBe(0);
    for (const chart of await charts(page)) {
      expect(chart.left).toBeGreaterThanOrEqual(0);
      expect(chart.right).toBeLessThanOrEqual(width);
      expect(Math.min(chart.textLeft, width - chart.textRight)).toBeGreaterThanOrEqual(0);
      expect(chart.figureHeight).toBeLessThan(height);
    }
    const pdf = join(browser.folder, `${format}.pdf`);
    await page.pdf({ path: pdf, format });
    const pages = readFileSync(pdf, 'latin1').match(/\/Type\s*\/Page\b/g) ?? [];
    expect(pages.length).toBeGreaterThanOrEqual(2);
    await page.close();
  },
);

test('the tables hold the values of the record', async () => {
  const record = invented();
  const { page } = await shown([record], 1024);
  const values = new Set((await page.evaluate(TABLE_VALUES)) as number[]);
  for (const result of record.results) {
    if (result.kind === 'band') expect(values).toContain(result.least_power_W);
    else if ('power_W' in result) expect(values).toContain(result.power_W);
  }
  await page.close();
});

test('readings unfold on a click, one row for each', async () => {
  const record = invented();
  const { page } = await shown([record], 1024);
  const rows = page.locator('details.readings').first().locator('tbody tr');
  expect(await rows.first().isVisible()).toBe(false);
  await page.getByText(`Every reading (${record.readings.length} readings)`).click();
  expect(await rows.first().isVisible()).toBe(true);
  expect(await rows.count()).toBe(record.readings.length);
  await page.close();
});

test('a hostile label is shown as the text that it is', async () => {
  const { page } = await shown([invented({ label: HOSTILE.attribute })], 1024);
  expect(await page.locator('h1').textContent()).toBe(HOSTILE.attribute);
  expect(await page.title()).toBe(HOSTILE.attribute);
  await page.close();
});

test('landmarks, headings and figures are named for those who cannot see them', async () => {
  const { page } = await shown([invented()], 1024);
  for (const role of ['banner', 'main', 'contentinfo'] as const)
    expect(await page.getByRole(role).count()).toBe(1);
  expect(await page.getByRole('region', { name: 'Results', exact: true }).count()).toBe(1);
  expect(await page.getByRole('figure', { name: /THD\+N against power/ }).count()).toBe(1);
  expect(await page.getByRole('img', { name: /0\.1\s% is crossed at 87\.7\sW to 88\.9\sW/ }).count()).toBe(1);
  expect(await page.getByRole('rowheader', { name: 'Measuring band' }).count()).toBe(1);
  await page.close();
});

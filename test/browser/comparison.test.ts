import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { compareRuns } from '../../src/document/comparison/comparison.js';
import { comparisonReport } from '../../src/document/comparison/comparison-report.js';
import type { RunRecord } from '../../src/record/run-record.js';
import { interruptedAtPoint3, invented } from '../document/fixture.js';
import { HOSTILE } from '../document/hostile.js';
import { inventedMatrix } from '../document/matrix-fixture.js';
import { accessFaults } from './access-faults.js';
import { type Browser, openBrowser } from './browser.js';
import { FAINT_TEXT, OVERFLOW, SHOWN_CHARTS } from './page-checks.js';
import { watchedPage } from './watched-page.js';

let browser: Browser;

beforeAll(async () => {
  browser = await openBrowser();
});

afterAll(async () => {
  await browser.close();
});

/** The page of `records` in a window of `width` pixels, with everything that it complained of or asked for. */
async function shown(records: readonly RunRecord[], width: number) {
  const file = join(browser.folder, 'comparison.html');
  writeFileSync(file, comparisonReport(records));
  const { page, complaints } = await watchedPage(browser.context);
  const address = pathToFileURL(file).href;
  page.on('request', (request) => {
    if (request.url() !== address) complaints.push(request.url());
  });
  await page.setViewportSize({ width, height: 900 });
  await page.goto(address);
  return { page, complaints };
}

const PAIR = [invented({ run: 3 }), invented({ run: 12, label: 'Another unit' })];
const CASES: Readonly<Record<string, readonly RunRecord[]>> = {
  'two units on one bench': PAIR,
  'unlike loads and seven channels': [PAIR[0]!, invented({ run: 5, load_ohm: 4, channels: 7 })],
  'ceilings and holds of three runs': [
    inventedMatrix(),
    { ...inventedMatrix(), run: 70 },
    interruptedAtPoint3({ run: 71 }),
  ],
  'hostile names': [PAIR[0]!, ...Object.values(HOSTILE).map((label, i) => invented({ run: 20 + i, label }))],
};

describe.each(Object.entries(CASES))('the page that compares %s', (_, records) => {
  test('fits every window, and is silent, legible and labelled in the light and in the dark', async () => {
    const { page, complaints } = await shown(records, 390);
    try {
      for (const [width, colorScheme] of [
        [390, 'light'],
        [390, 'dark'],
        [1024, 'light'],
        [1600, 'dark'],
      ] as const) {
        await page.setViewportSize({ width, height: 900 });
        await page.emulateMedia({ colorScheme });
        expect(await page.evaluate(OVERFLOW)).toBeLessThanOrEqual(0);
        expect(await page.evaluate(FAINT_TEXT)).toEqual([]);
        const charts = (await page.evaluate(SHOWN_CHARTS)) as {
          left: number;
          right: number;
          textLeft: number;
          textRight: number;
        }[];
        expect(charts.length).toBeGreaterThan(0);
        for (const chart of charts) {
          expect(chart.textLeft).toBeGreaterThanOrEqual(chart.left - 1);
          expect(chart.textRight).toBeLessThanOrEqual(chart.right + 1);
        }
      }
      // Only contrast differs with the colours, and is looked at above.
      expect(await accessFaults(page)).toEqual([]);
      expect(complaints).toEqual([]);
    } finally {
      await page.close();
    }
  });
});

describe('the page that compares runs', () => {
  test('shows the very values of the comparison', async () => {
    const { page } = await shown(CASES['unlike loads and seven channels']!, 1024);
    try {
      const values = (await page.evaluate(
        `[...document.querySelectorAll('[aria-labelledby=differences] data')].map((cell) => Number(cell.value))`,
      )) as number[];
      const { compared } = compareRuns(CASES['unlike loads and seven channels']!);
      const expected = compared.flatMap(({ figures, differences }) => [
        ...figures.flatMap(({ value }) => value ?? []),
        ...differences.flatMap((one) => (one ? [one.difference, one.difference_dB ?? []].flat() : [])),
      ]);
      expect(new Set(values)).toEqual(new Set(expected));
    } finally {
      await page.close();
    }
  });

  test('prints without anything cut off at the right edge of A4 or Letter', async () => {
    const { page } = await shown(CASES['ceilings and holds of three runs']!, 1024);
    try {
      await page.emulateMedia({ media: 'print' });
      // Width of the sheets less 15 mm on either side, at 96 pixels an inch.
      for (const width of [680, 702]) {
        await page.setViewportSize({ width, height: 900 });
        expect(await page.evaluate(OVERFLOW)).toBeLessThanOrEqual(0);
        const tooWide = `[...document.querySelectorAll('table, figure, pre')].filter((one) => one.getBoundingClientRect().right > innerWidth + 1).length`;
        expect(await page.evaluate(tooWide)).toBe(0);
      }
    } finally {
      await page.close();
    }
  });
});

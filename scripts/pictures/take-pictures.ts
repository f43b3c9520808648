import type { BrowserContext, Locator, Page } from 'playwright-core';
import type { Stage } from './stage.js';

/** A picture of the guide. */
export interface Picture {
  readonly name: string;
  readonly png: Buffer;
  /** Every word and figure in it, line by line, without what differs from day to day. */
  readonly words: readonly string[];
}

/** The head of a page reaches to its edges. */
const HEAD = 'report-head';
const RIM = 16;
const WIDTH = 1100;
const HEIGHT = 1000;
const figure = (title: string) => `figure[aria-labelledby*="${title}"]`;

/** Pieces of the report and of the comparison, by the name of the picture. */
const PIECES = {
  report: {
    'report-head': 'header',
    climb: figure('climb-1'),
    band: figure('sweep-1-thdn'),
    spectrum: figure('spectrum-1-1'),
  },
  comparison: { overlay: figure('overlay-1-title') },
} as const;

/** Dates, times, hashes and addresses are of the day on which a picture was taken. */
const lasting = (line: string): string =>
  line
    .replace(/\d{4}-\d\d-\d\d([T ]\d\d:\d\d(:\d\d)?)?( UTC|Z)?/g, 'DATE')
    .replace(/\b[0-9a-f]{12,64}\b/g, 'HASH')
    .replace(/127\.0\.0\.1:\d+/g, 'ADDRESS');

/**
 * Runs in the page, so it is made from text: the compiler knows no DOM. Gives what is written in a place, that of
 * drawings included, in the order of the page.
 */
const readWords = new Function(
  'root',
  `const found = [];
  const walker = document.createTreeWalker(root, NodeFilter.SHOW_TEXT);
  for (let node = walker.nextNode(); node; node = walker.nextNode()) {
    const holder = node.parentElement;
    if (holder?.checkVisibility() && !/^(script|style|title|option)$/i.test(holder.tagName))
      found.push(node.textContent.replace(/\\s+/g, ' ').trim());
  }
  return found.filter((line) => line !== '');`,
) as (root: unknown) => string[];

interface Cut {
  /** Pixels from the top that are taken of a long place. */
  readonly most?: number;
  /** Pixels of paper that are left around it. */
  readonly rim?: number;
}

async function pictureOf(
  name: string,
  place: Locator,
  { most = 10_000, rim = 0 }: Cut = {},
): Promise<Picture> {
  // Nothing that shows only under a resting pointer may get into the picture.
  await place.page().mouse.move(0, 0);
  const box = (await place.boundingBox())!;
  const png = await place.page().screenshot({
    animations: 'disabled',
    fullPage: true,
    clip: {
      x: box.x - rim,
      y: box.y - rim,
      width: box.width + 2 * rim,
      height: Math.min(box.height, most) + 2 * rim,
    },
  });
  return { name, png, words: (await place.evaluate(readWords)).map(lasting) };
}

async function opened(context: BrowserContext, url: string): Promise<Page> {
  const page = await context.newPage();
  await page.setViewportSize({ width: WIDTH, height: HEIGHT });
  await page.emulateMedia({ colorScheme: 'light', reducedMotion: 'reduce' });
  await page.goto(url);
  return page;
}

async function live(context: BrowserContext, stage: Stage): Promise<Picture> {
  const page = await opened(context, await stage.live());
  await page.locator('#ended').waitFor({ timeout: 300_000 });
  const picture = await pictureOf('live', page.locator('body'), { most: HEIGHT });
  await page.close();
  return picture;
}

async function pieces(
  context: BrowserContext,
  url: string,
  kind: keyof typeof PIECES,
): Promise<readonly Picture[]> {
  const pictures: Picture[] = [];
  const page = await opened(context, url);
  // On paper, and in a picture, nothing can be pointed at.
  await page.addStyleTag({ content: '.readout { display: none }' });
  for (const [name, place] of Object.entries(PIECES[kind]))
    pictures.push(await pictureOf(name, page.locator(place).first(), { rim: name === HEAD ? 0 : RIM }));
  await page.close();
  return pictures;
}

async function shelf(context: BrowserContext, stage: Stage): Promise<Picture> {
  const page = await opened(context, await stage.browse());
  const picture = await pictureOf('browse', page.locator('body'));
  await page.close();
  return picture;
}

/** Takes every picture of the guide, in an order that stays. */
export async function takePictures(context: BrowserContext, stage: Stage): Promise<Picture[]> {
  return [
    ...(await pieces(context, stage.report, 'report')),
    await live(context, stage),
    ...(await pieces(context, await stage.comparison(), 'comparison')),
    await shelf(context, stage),
  ];
}

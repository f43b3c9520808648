import { readdirSync, readFileSync, statSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { type Stage, setStage } from '../../scripts/pictures/stage.js';
import { type Picture, takePictures } from '../../scripts/pictures/take-pictures.js';
import { type Browser, openBrowser } from './browser.js';

const FOLDER = fileURLToPath(new URL('../../docs/pictures/', import.meta.url));
const GUIDE = fileURLToPath(new URL('../../docs/guide/', import.meta.url));
const kept = readdirSync(FOLDER).filter((name) => name.endsWith('.png'));
const keptWords: Record<string, string[]> = JSON.parse(readFileSync(`${FOLDER}words.json`, 'utf8'));
const guide = readdirSync(GUIDE)
  .map((name) => readFileSync(`${GUIDE}${name}`, 'utf8'))
  .join('\n');

let browser: Browser;
let stage: Stage;
let taken: Picture[];

beforeAll(async () => {
  [stage, browser] = await Promise.all([setStage(), openBrowser()]);
  taken = await takePictures(browser.context, stage);
}, 600_000);

afterAll(async () => {
  await browser?.close();
  await stage?.close();
});

/**
 * Mean difference of two pictures in steps of 255, each drawn onto 48 by 48 fields, in which the letters of another
 * font look as those of ours do.
 */
async function difference(one: Buffer, other: Buffer): Promise<number> {
  const page = await browser.context.newPage();
  const urls = [one, other].map((png) => `data:image/png;base64,${png.toString('base64')}`);
  const fields = await page.evaluate(readFields, urls);
  await page.close();
  const [a, b] = fields;
  return a!.reduce((sum, value, at) => sum + Math.abs(value - b![at]!), 0) / a!.length;
}

/** Runs in the page, so it is made from text: the compiler knows no DOM. */
const readFields = new Function(
  'urls',
  `return Promise.all(urls.map(async (url) => {
    const image = new Image();
    image.src = url;
    await image.decode();
    const canvas = new OffscreenCanvas(48, 48);
    const context = canvas.getContext('2d');
    context.imageSmoothingQuality = 'high';
    context.drawImage(image, 0, 0, 48, 48);
    return [...context.getImageData(0, 0, 48, 48).data];
  }))`,
) as (urls: string[]) => Promise<number[][]>;

/** Width and height of a PNG, from its first chunk (PNG, third edition, 11.2.1). */
const sizeOf = (png: Buffer) => ({ width: png.readUInt32BE(16), height: png.readUInt32BE(20) });

describe('the pictures of the guide', () => {
  test('are those that the script takes, at most eight, each shown in the guide and below 150 KiB', () => {
    expect(kept.sort()).toEqual(taken.map(({ name }) => `${name}.png`).sort());
    expect(kept.length).toBeLessThanOrEqual(8);
    for (const name of kept) {
      expect(statSync(`${FOLDER}${name}`).size, name).toBeLessThan(150 * 1024);
      expect(guide).toContain(`](../pictures/${name})`);
    }
  });

  test('have the words and figures of today: else `npm run pictures`', () => {
    for (const { name, words } of taken) expect(words, name).toEqual(keptWords[name]);
  });

  test('look like those of today', async () => {
    for (const { name, png } of taken) {
      const before = readFileSync(`${FOLDER}${name}.png`);
      expect(sizeOf(png).width, name).toBe(sizeOf(before).width);
      expect(sizeOf(png).height / sizeOf(before).height, name).toBeCloseTo(1, 1);
      expect(await difference(png, before), name).toBeLessThan(4);
    }
    // What two pictures of the same look differ by, so that the limit means something.
    const [climb, band] = ['climb', 'band'].map((wanted) => taken.find(({ name }) => name === wanted)!.png);
    expect(await difference(climb!, band!)).toBeGreaterThan(4);
  }, 60_000);
});

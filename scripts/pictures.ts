/**
 * Takes the pictures of the user guide from simulated benches and puts them into docs/pictures: `npm run pictures`. Needs
 * Chromium. Beside them goes what is written in each, by which a test notices that they went stale.
 */
import { mkdirSync, writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { openBrowser } from '../test/browser/browser.js';
import { setStage } from './pictures/stage.js';
import { takePictures } from './pictures/take-pictures.js';

const FOLDER = fileURLToPath(new URL('../docs/pictures/', import.meta.url));

const stage = await setStage();
const browser = await openBrowser();
try {
  const pictures = await takePictures(browser.context, stage);
  mkdirSync(FOLDER, { recursive: true });
  for (const { name, png } of pictures) {
    writeFileSync(`${FOLDER}${name}.png`, png);
    console.log(`${name}.png  ${(png.length / 1024).toFixed(0)} KiB`);
  }
  const words = Object.fromEntries(pictures.map(({ name, words }) => [name, words]));
  writeFileSync(`${FOLDER}words.json`, `${JSON.stringify(words, null, 2)}\n`);
} finally {
  await browser.close();
  await stage.close();
}

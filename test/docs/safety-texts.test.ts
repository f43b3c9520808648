import { readFileSync } from 'node:fs';
import { expect, it } from 'vitest';
import { safetyTextsPage } from '../../scripts/safety-texts.js';
import { PROJECT } from './command-blocks.js';

it('lists every safety text as the program says it: npm run safety-texts writes the page anew', async () => {
  expect(readFileSync(`${PROJECT}docs/safety-texts.md`, 'utf8')).toBe(await safetyTextsPage());
});

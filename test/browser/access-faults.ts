import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import type { Page } from 'playwright-core';

const AXE = readFileSync(createRequire(import.meta.url).resolve('axe-core'), 'utf8');
const COMPLAINTS = `axe.run(document).then(({ violations }) =>
  violations.flatMap(({ id, help, nodes }) => nodes.map(({ html }) => id + ': ' + help + ', ' + html)))`;

/** What axe-core finds fault with on a page; it is put in from outside, since a page runs no script but its own. */
export async function accessFaults(page: Page): Promise<readonly string[]> {
  const session = await page.context().newCDPSession(page);
  await session.send('Runtime.evaluate', { expression: AXE });
  const { result } = await session.send('Runtime.evaluate', {
    expression: COMPLAINTS,
    awaitPromise: true,
    returnByValue: true,
  });
  await session.detach();
  return result.value;
}

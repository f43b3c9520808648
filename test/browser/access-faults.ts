import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import type { Page } from 'playwright-core';

const AXE = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
/** What is right is not gathered: that would take most of the time. */
const COMPLAINTS = `async (rules) => {
  const { violations } = await axe.run(document, { resultTypes: ['violations'], rules });
  return violations.flatMap(({ id, help, nodes }) => nodes.map(({ html }) => id + ': ' + help + ', ' + html));
}`;

interface Checking {
  /** False where the same colours have been checked at another width: that rule takes half of the time. */
  readonly contrast?: boolean;
}

/** What axe-core finds fault with on a page; it is put in from outside, since a page runs no script but its own. */
export async function accessFaults(
  page: Page,
  { contrast = true }: Checking = {},
): Promise<readonly string[]> {
  const session = await page.context().newCDPSession(page);
  await session.send('Runtime.evaluate', { expression: AXE });
  const rules = JSON.stringify({ 'color-contrast': { enabled: contrast } });
  const { result } = await session.send('Runtime.evaluate', {
    expression: `(${COMPLAINTS})(${rules})`,
    awaitPromise: true,
    returnByValue: true,
  });
  await session.detach();
  return result.value;
}

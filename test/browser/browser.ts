import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { type BrowserContext, chromium } from 'playwright-core';

const ARGUMENTS = [
  '--no-sandbox',
  '--disable-gpu',
  '--disable-quic',
  '--no-first-run',
  '--disable-background-networking',
  '--disable-component-update',
  '--disable-sync',
];

/** A headless Chromium that knows nothing of earlier ones, with a folder of its own for files. */
export interface Browser {
  readonly context: BrowserContext;
  readonly folder: string;
  close(): Promise<void>;
}

export async function openBrowser(): Promise<Browser> {
  const folder = mkdtempSync(join(tmpdir(), 'ohmest-browser-'));
  const context = await chromium.launchPersistentContext(join(folder, 'profile'), {
    executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium',
    args: ARGUMENTS,
  });
  return {
    context,
    folder,
    close: async () => {
      await context.close();
      rmSync(folder, { recursive: true, force: true });
    },
  };
}

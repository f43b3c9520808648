import type { BrowserContext, Page } from 'playwright-core';

/** A new page with everything that it complains of: console, errors, dialogs, which are dismissed. */
export async function watchedPage(context: BrowserContext): Promise<{ page: Page; complaints: string[] }> {
  const page = await context.newPage();
  const complaints: string[] = [];
  page.on('console', (message) => complaints.push(message.text()));
  page.on('pageerror', (error) => complaints.push(error.message));
  page.on('dialog', (dialog) => {
    complaints.push(dialog.message());
    void dialog.dismiss();
  });
  return { page, complaints };
}

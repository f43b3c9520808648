import { expect } from 'vitest';
import { READING_AID } from '../../src/document/html/reading-aid.js';

/** A page less the one script that belongs to it, which must be there once and as it stands: whatever is left over came from elsewhere. */
export function withoutAid(page: string): string {
  const parts = page.split(`<script>${READING_AID}</script>`);
  expect(parts).toHaveLength(2);
  return parts.join('');
}

/** A page without what stands in quotes in its tags: text there can do nothing as long as it does not end the quotes. */
export const withoutValues = (page: string): string => page.replace(/="[^"]*"/g, '=""');

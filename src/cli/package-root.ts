import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';

/** Folder that holds package.json and what ships with the tool; the same from `src/cli` and `dist/cli`. */
export const PACKAGE_ROOT = fileURLToPath(new URL('../../', import.meta.url));

/** Version of this ohmest, as package.json states it. */
export function ownVersion(): string {
  return (JSON.parse(readFileSync(`${PACKAGE_ROOT}package.json`, 'utf8')) as { version: string }).version;
}

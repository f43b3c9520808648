import { readFileSync } from 'node:fs';
import { PACKAGE_ROOT } from '../../bench/package-root.js';

/** Version of this ohmest, as package.json states it. */
export function ownVersion(): string {
  return (JSON.parse(readFileSync(`${PACKAGE_ROOT}package.json`, 'utf8')) as { version: string }).version;
}

import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';

const ROOT = join(import.meta.dirname, '..', '..');

/** A file that ships with the project. */
export interface Shipped {
  readonly path: string;
  readonly text: string;
}

/** The YAML files of a folder that ships, those below it too, in order of their paths. */
export function shippedIn(folder: string): readonly Shipped[] {
  return readdirSync(join(ROOT, folder), { recursive: true, encoding: 'utf8' })
    .filter((name) => name.endsWith('.yaml'))
    .sort()
    .map((name) => join(ROOT, folder, name))
    .map((path) => ({ path, text: readFileSync(path, 'utf8') }));
}

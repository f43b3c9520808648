import { realpathSync } from 'node:fs';
import { relative } from 'node:path';

/** An absolute path as it is shortest from where the user stands: by itself where it does not lie below that. */
export function shown(path: string): string {
  // A database's own path has its links followed, and so has that of the working folder on some systems only.
  const short = [process.cwd(), realpathSync(process.cwd())].map((folder) => relative(folder, path));
  return short.find((one) => one !== '' && !one.startsWith('..')) ?? path;
}

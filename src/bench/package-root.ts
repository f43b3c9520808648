import { fileURLToPath } from 'node:url';

/**
 * Folder that holds package.json and what ships with the tool, with a slash at its end. The same from `src/bench`, from
 * `dist/bench`, and from the parts in `dist/cli` that the program is joined into: all lie equally deep, and code that
 * asks for its own place must ask here.
 */
export const PACKAGE_ROOT = fileURLToPath(new URL('../../', import.meta.url));

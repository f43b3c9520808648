import { join } from 'node:path';

/** Of the project. */
export const root = join(import.meta.dirname, '..', '..');

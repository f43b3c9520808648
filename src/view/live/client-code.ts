import { readFileSync } from 'node:fs';
import { join, posix } from 'node:path';
import type { Route } from '../local-route.js';

/** Where a page finds the first of its scripts, below the base. */
export const FIRST_SCRIPT = '/code/view/live/client/live.js';

/** What a compiled module takes in. */
const IMPORTED = /^(?:import|export)\b[^'"]*?from '(\.[^']+)';$/gm;

/** Routes to all that the page runs, read from the folder `built` that holds the compiled tool: its first script and what that takes in. */
export function clientCode(built: string): readonly Route[] {
  const bodies = new Map<string, string>();
  const take = (file: string): void => {
    if (bodies.has(file)) return;
    const body = readFileSync(join(built, file), 'utf8');
    bodies.set(file, body);
    for (const [, other] of body.matchAll(IMPORTED)) take(posix.join(posix.dirname(file), other!));
  };
  take(FIRST_SCRIPT.replace('/code/', ''));
  return [...bodies].map(([file, body]) => ({
    method: 'GET',
    path: `/code/${file}`,
    handle: () => ({ status: 200, type: 'text/javascript; charset=utf-8', body }),
  }));
}

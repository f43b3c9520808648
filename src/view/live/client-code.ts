import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Route } from '../local-route.js';

/** Where a page finds the first of its scripts, below the base. */
export const FIRST_SCRIPT = '/code/view/live/client/live.js';

/** All that the page runs, and what that shares with the rest of ohmest: one way to write a number. */
const FILES = [
  'view/live/client/chart.js',
  'view/live/client/connection.js',
  'view/live/client/dom.js',
  'view/live/client/live.js',
  'view/live/client/panel.js',
  'view/live/client/panels.js',
  'view/live/client/scale.js',
  'view/live/client/show-lists.js',
  'view/live/client/show-readings.js',
  'view/live/client/show-state.js',
  'view/live/client/stop.js',
  'view/live/live-state.js',
  'measure/flags.js',
  'report/visible-text.js',
  'report/wording.js',
  'report/wrap-text.js',
  'units/format.js',
  'units/unit-rules.js',
] as const;

/** Routes to the scripts of the page, read from the folder `built` that holds the compiled tool. */
export function clientCode(built: string): readonly Route[] {
  return FILES.map((file) => {
    const body = readFileSync(join(built, file), 'utf8');
    return {
      method: 'GET',
      path: `/code/${file}`,
      handle: () => ({ status: 200, type: 'text/javascript; charset=utf-8', body }),
    };
  });
}

import { basename } from 'node:path';
import { openStore, type Store } from '../store/store.js';
import { browseRoutes } from '../view/browse/browse-routes.js';
import type { Shelf } from '../view/browse/shelf.js';
import { serveLocally } from '../view/local-server.js';
import { floorOfRun } from './floor-of-run.js';
import { interruption } from './interruption.js';
import { portGiven } from './port-given.js';
import type { Terminal } from './terminal.js';

/** `ohmest browse`: pages over a database, for browsers on this machine, until it is interrupted. */
export async function browse(
  terminal: Terminal,
  options: { readonly db: string; readonly port?: string; readonly json?: boolean },
): Promise<number> {
  const port = portGiven(options.port, '--port');
  const store = openStore(options.db, { mode: 'read' });
  const { signal, release } = interruption();
  try {
    const server = await serveLocally({ port, routes: browseRoutes(shelfOf(store)) });
    try {
      const { url, token } = server;
      if (options.json) terminal.out(JSON.stringify({ url, port: server.port, token, database: store.file }));
      else terminal.out(`${url}\n`);
      terminal.err('Open this address in a browser on this machine. Ctrl-C ends it.');
      await interrupted(signal);
    } finally {
      await server.close();
    }
  } finally {
    release();
    store.close();
  }
  return 0;
}

/** What the pages need of a database; every run is read anew, so that one that goes on is shown as it stands. */
const shelfOf = (store: Store): Shelf => ({
  name: basename(store.file),
  search: (search, page) => store.search(search, page),
  names: () => store.names(),
  powers: (runs) => store.powers(runs),
  run: (number) => store.run(number),
  floorOf: floorOfRun,
});

const interrupted = (signal: AbortSignal): Promise<void> =>
  new Promise((resolve) => {
    if (signal.aborted) resolve();
    else signal.addEventListener('abort', () => resolve(), { once: true });
  });

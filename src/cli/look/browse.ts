import { browseRoutes } from '../../view/browse/browse-routes.js';
import { serveLocally } from '../../view/local-server.js';
import { interruption } from '../run/interruption.js';
import { portGiven } from '../terminal/option.js';
import type { Terminal } from '../terminal/terminal.js';
import { freshShelf } from './fresh-shelf.js';

/** `ohmest browse`: pages over a database, for browsers on this machine, until it is interrupted. */
export async function browse(
  terminal: Terminal,
  options: { readonly db: string; readonly port?: string; readonly json?: boolean },
): Promise<number> {
  const port = portGiven(options.port, '--port');
  const shelf = await freshShelf(options.db);
  const { signal, release } = interruption();
  try {
    const server = await serveLocally({ port, routes: browseRoutes(shelf) });
    try {
      const { url, token } = server;
      if (options.json) terminal.out(JSON.stringify({ url, port: server.port, token, database: shelf.file }));
      else terminal.out(`${url}\n`);
      terminal.err('Open this address in a browser on this machine. Ctrl-C ends it.');
      await interrupted(signal);
    } finally {
      await server.close();
    }
  } finally {
    release();
    await shelf.close();
  }
  return 0;
}

const interrupted = (signal: AbortSignal): Promise<void> =>
  new Promise((resolve) => {
    if (signal.aborted) resolve();
    else signal.addEventListener('abort', () => resolve(), { once: true });
  });

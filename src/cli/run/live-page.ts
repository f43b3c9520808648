import { join } from 'node:path';
import { PACKAGE_ROOT } from '../../bench/package-root.js';
import { Arrivals } from '../../view/live/arrivals.js';
import { LiveFeed } from '../../view/live/live-feed.js';
import { liveRoutes } from '../../view/live/live-routes.js';
import type { NextCommands } from '../../view/live/live-state.js';
import { serveLocally } from '../../view/local-server.js';
import type { Watcher } from '../../view/run-watch.js';
import { portGiven } from '../terminal/option.js';
import type { Terminal } from '../terminal/terminal.js';
import type { interruption } from './interruption.js';

/** A page that shows a run while it goes. */
export interface LivePage {
  /** Nobody when no page was asked for. */
  readonly watchers: readonly Watcher[];
  /** Says to whoever looks on that it is over, waits a moment for whoever is about to, and lets go of the port. */
  close(): Promise<void>;
}

/** The port that `--live` asks for: null for any that is free, undefined for no page. @throws NoPort */
export function livePort(typed: string | true | undefined): number | null | undefined {
  if (typed === undefined) return undefined;
  return portGiven(typed === true ? undefined : typed, '--live');
}

/**
 * Serves the live page when one was asked for, and prints its address. To be called before anything is asked or
 * played: a port that cannot be had is bad input.
 *
 * @throws PortTaken
 */
export async function openLivePage(
  terminal: Terminal,
  port: number | null | undefined,
  { abort, db }: { readonly abort: ReturnType<typeof interruption>['abort']; readonly db: string },
): Promise<LivePage> {
  if (port === undefined) return { watchers: [], close: async () => undefined };
  const [feed, arrivals] = [new LiveFeed(), new Arrivals()];
  const stop = () => abort('from the live page');
  const server = await serveLocally({
    port,
    routes: liveRoutes({ feed, arrivals, stop, built: join(PACKAGE_ROOT, 'dist') }),
    onEntry: () => arrivals.entered(),
  });
  terminal.err(`live page: ${server.url}`);
  const watcher: Watcher = {
    begin: (watch) => feed.begin(watch, nextCommands(watch.view().run, db)),
    say: () => undefined,
    end: () => feed.end(),
  };
  return {
    watchers: [watcher],
    close: async () => {
      feed.end();
      await arrivals.over();
      await server.close();
    },
  };
}

function nextCommands(run: number, db: string): NextCommands {
  const where =
    db === 'ohmest.db'
      ? ''
      : ` --db ${/^[\w./@%+=:,-]+$/.test(db) ? db : `'${db.replaceAll("'", `'\\''`)}'`}`;
  return {
    show: `ohmest show ${run}${where}`,
    report: `ohmest report ${run} -o run-${run}.html${where}`,
    resume: `ohmest resume ${run}${where}`,
  };
}

import { plainText, type Route } from '../local-route.js';
import type { Arrivals } from './arrivals.js';
import { clientCode } from './client-code.js';
import type { LiveFeed } from './live-feed.js';
import { livePage } from './live-page.js';

export interface LiveServing {
  readonly feed: LiveFeed;
  readonly arrivals: Arrivals;
  /** Ramps down and ends the run. */
  readonly stop: () => void;
  /** Folder with the compiled tool, which has the page's scripts. */
  readonly built: string;
}

/** What the live page of a run is made of: itself, its scripts, the stream of changes, the stop. */
export function liveRoutes({ feed, arrivals, stop, built }: LiveServing): readonly Route[] {
  return [
    {
      method: 'GET',
      path: '/',
      handle: ({ base, token }) => {
        arrivals.handedOut();
        return livePage(base, token);
      },
    },
    {
      method: 'GET',
      path: '/changes',
      handle: () => ({
        stream: (send, closed) => {
          feed.join(send, closed);
          arrivals.connected();
        },
      }),
    },
    {
      method: 'POST',
      path: '/stop',
      handle: () => {
        stop();
        feed.stopAsked();
        return plainText(202, 'The output is being ramped down.');
      },
    },
    ...clientCode(built),
  ];
}

import { plainText, type Route } from '../local-route.js';
import { clientCode } from './client-code.js';
import type { LiveFeed } from './live-feed.js';
import { livePage } from './live-page.js';

export interface LiveServing {
  readonly feed: LiveFeed;
  /** Ramps down and ends the run. */
  readonly stop: () => void;
  /** Folder with the compiled tool, which has the page's scripts. */
  readonly built: string;
}

/** What the live page of a run is made of: itself, its scripts, the stream of changes, the stop. */
export function liveRoutes({ feed, stop, built }: LiveServing): readonly Route[] {
  return [
    { method: 'GET', path: '/', handle: ({ base, token }) => livePage(base, token) },
    {
      method: 'GET',
      path: '/changes',
      handle: () => ({ stream: (send, closed) => feed.join(send, closed) }),
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

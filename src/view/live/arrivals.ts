import { setImmediate as turn } from 'node:timers/promises';

/** Whoever does not connect within this time may have been closed, or is no page at all. */
const LONGEST_ms = 5_000;
/** The turn of the event loop that is going on, one in which a connection is accepted, one in which its request is read. */
const TURNS = 3;

/**
 * Pages on their way to a run: their address was opened, or they were handed out, and they do not hear the run yet. At its
 * end they are waited for, so that a page opened in the last instant still shows how the run ended.
 */
export class Arrivals {
  private entering = 0;
  private loading = 0;
  private latest_ms = 0;
  private settled = (): void => undefined;

  constructor(private readonly longest_ms = LONGEST_ms) {}

  /** Somebody has shown the token, and is being sent on to the page. */
  entered(): void {
    this.entering++;
    this.latest_ms = performance.now();
  }

  /** The page is being handed out. */
  handedOut(): void {
    this.entering = Math.max(0, this.entering - 1);
    this.loading++;
    this.latest_ms = performance.now();
  }

  /** A page hears the run. */
  connected(): void {
    this.loading = Math.max(0, this.loading - 1);
    if (this.coming === 0) this.settled();
  }

  /** Resolves when nobody is on the way any more, or when this takes too long. */
  async over(): Promise<void> {
    // A run computed on this thread may have kept the program from its sockets.
    for (let i = 0; i < TURNS; i++) await turn();
    const left_ms = this.longest_ms - (performance.now() - this.latest_ms);
    if (this.coming === 0 || left_ms <= 0) return;
    await new Promise<void>((resolve) => {
      const late = setTimeout(resolve, left_ms);
      this.settled = () => {
        clearTimeout(late);
        resolve();
      };
    });
  }

  private get coming(): number {
    return this.entering + this.loading;
  }
}

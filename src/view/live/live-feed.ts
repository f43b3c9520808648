import type { Send } from '../local-route.js';
import type { RunWatch } from '../run-watch.js';
import { changeBetween, type LiveState, type NextCommands, NOTHING_YET } from './live-state.js';

/** A page is told of changes at most this often, and at least this often that the run is alive. */
const EVERY_ms = 200;
const PULSE_ms = 5_000;

/**
 * Tells any number of viewers how a run stands: all of it when they come, then what changes. While nobody looks on
 * it costs nothing, and it never waits for anybody.
 */
export class LiveFeed {
  private readonly viewers = new Set<Send>();
  private watch: RunWatch | null = null;
  private next: NextCommands | null = null;
  private stopping = false;
  private ended = false;
  /** What every viewer knows. */
  private told: LiveState = NOTHING_YET;
  private timer: NodeJS.Timeout | null = null;
  private pulse: NodeJS.Timeout | null = null;

  /** The run has its number. */
  begin(watch: RunWatch, next: NextCommands): void {
    this.watch = watch;
    this.next = next;
    watch.onChange(() => this.changed());
    this.changed();
  }

  /** Somebody has asked for the end. */
  stopAsked(): void {
    this.stopping = true;
    this.changed();
  }

  /** The run is over: says so at once, as the last thing, and to whoever still comes. */
  end(): void {
    if (this.ended) return;
    this.ended = true;
    if (this.timer) clearTimeout(this.timer);
    this.timer = null;
    this.tell();
    this.toAll('end', '{}');
    for (const send of [...this.viewers]) this.leave(send);
  }

  /** Somebody comes to look on, until `closed`. */
  join(send: Send, closed: AbortSignal): void {
    this.tell();
    send('whole', JSON.stringify(changeBetween(NOTHING_YET, this.told)));
    if (this.ended) {
      send('end', '{}');
      return;
    }
    this.viewers.add(send);
    this.pulse ??= setInterval(() => this.toAll('pulse', '{}'), PULSE_ms).unref();
    closed.addEventListener('abort', () => this.leave(send));
  }

  private leave(send: Send): void {
    this.viewers.delete(send);
    if (this.viewers.size > 0 || this.pulse === null) return;
    clearInterval(this.pulse);
    this.pulse = null;
  }

  private toAll(event: string, data: string): void {
    for (const send of [...this.viewers]) {
      try {
        send(event, data);
      } catch {
        // This runs on the run's own thread: whoever cannot be told anything has left.
        this.leave(send);
      }
    }
  }

  private changed(): void {
    if (this.viewers.size === 0 || this.timer !== null || this.ended) return;
    this.timer = setTimeout(() => {
      this.timer = null;
      this.tell();
    }, EVERY_ms).unref();
  }

  /** Brings all viewers up to date. */
  private tell(): void {
    const state = this.state();
    if (this.viewers.size > 0) {
      this.toAll('change', JSON.stringify(changeBetween(this.told, state)));
    }
    this.told = state;
  }

  private state(): LiveState {
    const view = this.watch?.view() ?? null;
    return { view, next: this.next, stopping: this.stopping && (view === null || view.state === 'running') };
  }
}

import { applyChange, type LiveChange, type LiveState, NOTHING_YET } from '../live-state.js';

/** A run that says nothing for so long, not even that it is alive, may hang. */
const SILENT_ms = 15_000;
const AGAIN_ms = 2_000;

export interface Listener {
  /** Something is different. */
  state(state: LiveState): void;
  /** The run has said its last word. */
  ended(): void;
  /** Nothing can be heard any more; it is tried again. */
  lost(): void;
  /** So many seconds of silence; 0 when it is over. */
  silent(seconds: number): void;
}

/** Follows the run's stream of changes, and comes back when it breaks off without an end. */
export class Connection {
  private state = NOTHING_YET;
  private heard_ms = performance.now();
  private quiet = false;

  constructor(
    private readonly address: string,
    private readonly listener: Listener,
  ) {
    this.open();
  }

  private open(): void {
    const source = new EventSource(this.address);
    const watch = setInterval(() => this.listen(), 1_000);
    const close = () => {
      clearInterval(watch);
      source.close();
    };
    this.hear();
    source.addEventListener('pulse', () => this.hear());
    source.addEventListener('whole', (event) => this.take(NOTHING_YET, event));
    source.addEventListener('change', (event) => this.take(this.state, event));
    source.addEventListener('end', () => {
      close();
      this.listener.ended();
    });
    source.addEventListener('error', () => {
      close();
      this.quiet = false;
      this.listener.lost();
      setTimeout(() => this.open(), AGAIN_ms);
    });
  }

  private take(before: LiveState, event: MessageEvent<string>): void {
    this.hear();
    this.state = applyChange(before, JSON.parse(event.data) as LiveChange);
    this.listener.state(this.state);
  }

  private hear(): void {
    this.heard_ms = performance.now();
    if (this.quiet) this.listener.silent(0);
    this.quiet = false;
  }

  private listen(): void {
    const silence_ms = performance.now() - this.heard_ms;
    if (silence_ms < SILENT_ms) return;
    this.quiet = true;
    this.listener.silent(Math.floor(silence_ms / 1000));
  }
}

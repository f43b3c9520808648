/** Beyond this share something is broken and not merely driven hard: a half-wave or a square wave has 43 %. */
const BROKEN_SHARE = 0.3;
/** And it must have come suddenly: this many times what the same level gave. */
const SUDDEN = 10;
/**
 * And it must last for this many windows, a fifth of a second: a stretch of lost samples looks just like it in one
 * window or two.
 */
const LASTING = 4;

/** Distortion and noise as shares of the whole: what was found, and what it might have come to at most. */
export interface Runaway {
  readonly share: number;
  readonly limit: number;
}

/**
 * Watches the share of all that is not the fundamental while one level stands. It trips when four windows running
 * have more than 30 % and more than ten times the least that this very level has given before.
 *
 * A climb cannot set it off: a new level begins without a past, so that clipping, however hard it is driven, is
 * compared with itself only. Nor can noise or hum at a low level: they were there before.
 */
export class RunawayWatch {
  /** Least share before the windows in `#recent`; null until there is one. */
  #least: number | null = null;
  #recent: number[] = [];

  /** Forgets: what plays has changed. */
  restart(): void {
    this.#least = null;
    this.#recent = [];
  }

  look(share: number): Runaway | null {
    this.#recent.push(share);
    if (this.#recent.length <= LASTING) return null;
    const gone = this.#recent.shift()!;
    this.#least = this.#least === null ? gone : Math.min(this.#least, gone);
    const limit = Math.max(BROKEN_SHARE, SUDDEN * this.#least);
    const all = Math.min(...this.#recent);
    return all > limit ? { share: all, limit } : null;
  }
}

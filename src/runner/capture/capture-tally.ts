import type { SettledCapture } from './settled-capture.js';

/**
 * Counts in how many captures of a step something was left out because the output had not settled: in the end, a reading shows
 * nothing of it, and it may have been a short disturbance.
 */
export class CaptureTally {
  /** Captures begun again after the next level had been on its way too soon. */
  retaken = 0;
  #all = 0;
  #later = 0;
  #halves = 0;

  count({ leftOut = 0 }: Pick<SettledCapture, 'leftOut'>): void {
    this.#all += 1;
    if (leftOut === 0) return;
    this.#later += 1;
    this.#halves += leftOut;
  }

  /** One sentence for a whole step; null when there is nothing to tell. */
  words(): string | null {
    const later = `${this.#later} began later (${counted(this.#halves, 'half', 'halves')} left out)`;
    const again = `${this.retaken} ${this.retaken === 1 ? 'was' : 'were'} taken again`;
    const parts = [...(this.#later > 0 ? [later] : []), ...(this.retaken > 0 ? [again] : [])];
    if (parts.length === 0) return null;
    return `${counted(this.#all, 'capture', 'captures')} in this step: ${parts.join(', ')}, since the output had not settled or something disturbed it`;
  }
}

const counted = (number: number, one: string, several: string): string =>
  `${number} ${number === 1 ? one : several}`;

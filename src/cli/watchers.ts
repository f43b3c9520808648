import type { Watcher } from '../view/run-watch.js';
import { ProgressLine } from './progress-line.js';
import type { Terminal } from './terminal.js';

/** Who looks on while a run goes. */
export function watchersFor(terminal: Terminal): Watcher[] {
  return [new ProgressLine(terminal)];
}

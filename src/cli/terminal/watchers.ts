import type { Watcher } from '../../view/run-watch.js';
import { LiveView } from './live-view.js';
import { ProgressLine } from './progress-line.js';
import type { Terminal } from './terminal.js';

/** Who looks on while a run goes. */
export function watchersFor(terminal: Terminal): Watcher[] {
  return [terminal.live ? new LiveView(terminal) : new ProgressLine(terminal)];
}

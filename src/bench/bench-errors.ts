import { benchFault } from '../errors/error-table.js';

/** A bench was asked to play, wait or change its setting while it plays. */
export const BenchBusy = benchFault('BENCH_BUSY', () => ({
  what: 'the bench is playing already',
  mend: 'End the running play before starting something else',
}));

/** A bench was used before `open` or after `close`. */
export const BenchClosed = benchFault('BENCH_CLOSED', () => ({
  what: 'the bench is not open',
  mend: 'Open it first; a closed bench is opened anew',
}));

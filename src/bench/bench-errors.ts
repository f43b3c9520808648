import { asTold, benchFault } from '../errors/error-table.js';

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

/**
 * Samples were lost on the way out or back, for a moment: what was captured around it proves nothing, but the bench can play
 * again.
 */
export const SamplesLost = benchFault('DROPOUT', asTold);

/** The computer slept, or a process was stopped, while a tone was to be heard. Nobody watched meanwhile. */
export const StoodStill = benchFault('STOOD_STILL', (what: string, pause_ms: number) => ({
  what: `${what} stood still for ${(pause_ms / 1000).toFixed(1)} s while a tone was to play, so the output was silenced`,
  mend: 'Keep the computer from sleeping, see how the unit and its loads are, then resume the run',
}));

/** Captured samples were not fetched for too long. */
export const CaptureOverrun = benchFault('CAPTURE_OVERRUN', asTold);

import picocolors from 'picocolors';

/** Where a command writes, and what it may assume of the far end. Results go to `out`, all talk to `err`. */
export interface Terminal {
  out(text: string): void;
  err(text: string): void;
  /** True when `err` is a terminal that can redraw a line. */
  readonly live: boolean;
  /** Columns of `out`; 80 when it is no terminal. */
  readonly width: number;
  /** Columns that sentences on `err` are kept within; without end when it is no terminal: programs read whole lines. */
  readonly talkWidth: number;
  readonly colour: boolean;
}

/** The terminal of this process. Colour is off under NO_COLOR (no-color.org) and when not on a terminal. */
export function processTerminal(): Terminal {
  for (const stream of [process.stdout, process.stderr]) stream.on('error', unlessReaderLeft);
  return {
    out: (text) => void process.stdout.write(`${text}\n`),
    err: (text) => void process.stderr.write(`${text}\n`),
    live: process.stderr.isTTY === true && process.env.TERM !== 'dumb' && !process.env.NO_COLOR,
    width: process.stdout.columns || 80,
    talkWidth: process.stderr.isTTY ? process.stderr.columns || 80 : Number.POSITIVE_INFINITY,
    colour: picocolors.isColorSupported && process.stdout.isTTY === true && !process.env.NO_COLOR,
  };
}

/**
 * Who reads only the first lines (`| head`) does no harm, least of all to a run that plays; nor does a terminal that was closed,
 * which ends a run by its own signal.
 */
function unlessReaderLeft(error: NodeJS.ErrnoException): void {
  if (error.code !== 'EPIPE' && error.code !== 'EIO') throw error;
}

import picocolors from 'picocolors';
import { visibleText } from '../../units/visible-text.js';

/** Where a command writes, and what it may assume of the far end. Results go to `out`, all talk to `err`. */
export interface Terminal {
  /** `styled`: a text in our own bold, faint and yellow. */
  out(text: string, look?: 'styled'): void;
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
  process.stdout.on('error', resultsLost);
  // Talk that cannot be written, as into a log on a full disk, is no reason to end a run, and there is nowhere to say it.
  process.stderr.on('error', () => undefined);
  return {
    out: (text, look) =>
      void process.stdout.write(`${look === 'styled' ? styled(text) : visibleText(text)}\n`),
    err: (text) => void process.stderr.write(`${visibleText(text)}\n`),
    live: process.stderr.isTTY === true && process.env.TERM !== 'dumb' && !process.env.NO_COLOR,
    width: process.stdout.columns || 80,
    talkWidth: process.stderr.isTTY ? process.stderr.columns || 80 : Number.POSITIVE_INFINITY,
    colour: picocolors.isColorSupported && process.stdout.isTTY === true && !process.env.NO_COLOR,
  };
}

/** What `picocolors` puts around text that is bold, faint or yellow. */
// biome-ignore lint/suspicious/noControlCharactersInRegex: these escapes are what is looked for
const OWN_STYLES = /(\u001b\[(?:1|2|22|33|39)m)/;

const styled = (text: string): string =>
  text
    .split(OWN_STYLES)
    .map((part, i) => (i % 2 === 1 ? part : visibleText(part)))
    .join('');

/**
 * Who reads only the first lines (`| head`) does no harm, least of all to a run that plays; nor does a terminal that was closed,
 * which ends a run by its own signal. Results that were lost otherwise are told of, a run goes on and is kept, and the
 * program does not end as if all were well.
 */
function resultsLost({ code }: NodeJS.ErrnoException): void {
  if (code === 'EPIPE' || code === 'EIO' || told) return;
  told = true;
  const reason = code === 'ENOSPC' ? 'the disk is full' : String(code);
  process.stderr.write(
    `ohmest: standard output cannot be written: ${reason}. What was written of the results is not all of them.\n`,
  );
  process.once('exit', () => {
    process.exitCode ||= LOST;
  });
}

let told = false;

/** Neither bad input nor the bench's fault. */
const LOST = 1;

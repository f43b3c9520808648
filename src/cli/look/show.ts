import { answerStatus, type FailOn } from '../terminal/answer-status.js';
import { OptionWrong } from '../terminal/option.js';
import type { Terminal } from '../terminal/terminal.js';
import { claimOf, readRuns } from './asked-runs.js';

interface ShowOptions {
  readonly db: string;
  readonly json?: boolean;
  readonly budget?: boolean;
  readonly details?: boolean;
  readonly remeasure?: boolean;
  readonly claim?: string;
  readonly failOn?: FailOn;
}

/**
 * `ohmest show`: what a run found, with `--details` every figure and condition, with `--budget` what its uncertainty is made of,
 * with `--remeasure` what its captures give today.
 */
export async function show(terminal: Terminal, run: string, options: ShowOptions): Promise<number> {
  if (options.remeasure) return readAgain(terminal, run, options);
  const claim = await claimOf(options.claim);
  if (options.json) {
    const { showDocument } = await import('../../document/json/show-document.js');
    const record = (await readRuns(options.db, [run], UNDRAWN))[0]!;
    terminal.out(JSON.stringify(showDocument(record, claim), null, 2));
    return answerStatus(record, options.failOn, claim);
  }
  const { budgetText, runText } = await import('../../document/text/run-text.js');
  const record = (await readRuns(options.db, [run], UNSEEN))[0]!;
  const shape = { width: terminal.width, colour: terminal.colour, details: options.details ?? false };
  terminal.out(options.budget ? budgetText(record, shape) : runText(record, shape, claim), 'styled');
  return answerStatus(record, options.failOn, claim);
}

/** Most of a run's rows, and no text shows them. */
const UNSEEN = { harmonics: false, spectra: false };
/** Far more bytes than all the rest, and no document holds them. */
const UNDRAWN = { spectra: false };

async function readAgain(terminal: Terminal, run: string, options: ShowOptions): Promise<number> {
  if (options.budget || options.claim !== undefined)
    throw new OptionWrong({
      what: `--remeasure reads captures again and takes no ${options.budget ? '--budget' : '--claim'}`,
      mend: 'Give one of them at a time',
    });
  return (await import('./remeasure.js')).remeasure(terminal, run, options);
}

import { visibleText } from '../../document/text/visible-text.js';
import { wrapText } from '../../document/text/wrap-text.js';
import { EXIT, OhmestError } from '../../errors/ohmest-error.js';
import { DocumentError } from '../../schema/document-error.js';
import { SeveralFaults } from './fault-list.js';
import type { Terminal } from './terminal.js';

/**
 * Says what went wrong, on stderr in words and, when asked for JSON, on stdout as one document. Errors of
 * our own say what, where and how to mend; anything else is a fault of the program and says so with its stack.
 *
 * @returns the exit status
 */
export function reportFailure(error: unknown, terminal: Terminal, json: boolean): number {
  if (!(error instanceof OhmestError)) {
    const text = error instanceof Error ? (error.stack ?? error.message) : String(error);
    terminal.err(`ohmest failed, and the fault is its own. Please report this:\n${text}`);
    if (json) terminal.out(JSON.stringify({ error: { code: 'INTERNAL', what: text.split('\n')[0] } }));
    return 1;
  }
  // What was typed, or a label that came in a stranger's bundle, may hold what a terminal would obey.
  const lines = shortened(visibleText(`ohmest: ${error.message}`)).split('\n');
  terminal.err(lines.map((line) => wrapText(line, terminal.talkWidth, '  ')).join('\n'));
  if (json) terminal.out(JSON.stringify({ error: asDocument(error) }));
  return error.exitStatus;
}

/** A path of a hundred thousand letters, typed or pasted by mistake, must not push what is wrong with it off the screen. */
const shortened = (text: string): string =>
  text.replace(/\S{601,}/g, (word) => `${word.slice(0, 400)}…${word.slice(-100)}`);

function asDocument(error: OhmestError): object {
  const { what, where, mend } = error.explanation;
  return {
    code: error.code,
    what,
    where: where ?? null,
    mend: mend ?? null,
    ...(error instanceof DocumentError ? { file: error.file, faults: error.faults } : {}),
    ...(error instanceof SeveralFaults ? { causes: error.causes.map(asDocument) } : {}),
  };
}

/** Exit status for the way a run ended. */
export function statusOf(outcome: 'completed' | 'stopped' | 'tripped' | 'fault' | 'interrupted'): number {
  const statuses = {
    completed: EXIT.done,
    stopped: EXIT.tripped,
    tripped: EXIT.tripped,
    fault: EXIT.benchFault,
    interrupted: EXIT.interrupted,
  } as const;
  return statuses[outcome];
}

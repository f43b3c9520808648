import { wrapText } from '../../document/text/wrap-text.js';
import { EXIT, type OhmestError } from '../../errors/ohmest-error.js';
import { DocumentError, type Fault } from '../../schema/document-error.js';
import { SeveralFaults } from './fault-list.js';
import type { Terminal } from './terminal.js';

/**
 * Says what went wrong, on stderr in words and, when asked for JSON, on stdout as one document.
 *
 * @returns the exit status
 */
export function reportFailure(error: OhmestError, terminal: Terminal, json: boolean): number {
  const lines = shortened(`ohmest: ${error.message}`).split('\n');
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
    fix: mend ?? null,
    ...(error instanceof DocumentError ? { file: error.file, faults: error.faults.map(faultDocument) } : {}),
    ...(error instanceof SeveralFaults ? { causes: error.causes.map(asDocument) } : {}),
  };
}

const faultDocument = ({ mend, ...fault }: Fault): object => ({ ...fault, fix: mend });

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

import { createInterface } from 'node:readline/promises';
import { inputError } from '../../errors/error-table.js';
import type { interruption } from '../run/interruption.js';
import { questionLines } from '../run/question-lines.js';
import type { Terminal } from './terminal.js';

/** Somebody must be there to answer, and nobody is. */
export const NobodyToAsk = inputError('NOBODY_TO_ASK', (question: string) => ({
  what: `a person at the bench must answer this, and nobody is present: "${question}"`,
  mend: 'Run it in a terminal, or give one answer a line on standard input',
}));

type Interruption = Pick<ReturnType<typeof interruption>, 'signal' | 'abort'>;

/** Puts questions to the person at the bench. */
export interface Operator {
  /** True for yes; false also when the operator breaks off, which also aborts. @throws NobodyToAsk when standard input has ended */
  confirm(question: string): Promise<boolean>;
  /** A line of text; empty when the operator breaks off, which also aborts. @throws NobodyToAsk when standard input has ended */
  text(question: string): Promise<string>;
  close(): void;
}

/** The person at a terminal, or the lines that come through a pipe. */
export function operatorAt(terminal: Terminal, { signal, abort }: Interruption): Operator {
  return process.stdin.isTTY ? atTerminal(signal, abort) : throughPipe(terminal, signal);
}

function atTerminal(signal: AbortSignal, abort: () => void): Operator {
  // Prompts go to stderr: stdout carries results only.
  const context = { output: process.stderr, signal };
  // A terminal that was closed at a prompt cannot be set back; the run must be closed all the same.
  process.stdin.on('error', (error: NodeJS.ErrnoException) => {
    if (error.code !== 'EIO') throw error;
    abort();
  });
  // Ctrl-D ends the line editor without a word to the prompt, which would wait for ever for nobody: the program would
  // run out of work and end as if all were well.
  process.stdin.on('keypress', (_text: string | undefined, key?: { ctrl?: boolean; name?: string }) => {
    if (key?.ctrl && key.name === 'd') abort();
  });
  const onTerminal = (question: string): string => questionLines(question, process.stderr.columns || 80);
  return {
    async confirm(question) {
      const { confirm } = await import('@inquirer/prompts');
      return unlessLeft(confirm({ message: onTerminal(question), default: false }, context), false, abort);
    },
    async text(question) {
      const { input } = await import('@inquirer/prompts');
      return unlessLeft(input({ message: onTerminal(question), required: true }, context), '', abort);
    },
    close: () => undefined,
  };
}

/** The answer, or `left` when the operator broke off with Ctrl-C, which a prompt takes for itself. */
async function unlessLeft<T>(answer: Promise<T>, left: T, abort: () => void): Promise<T> {
  try {
    return await answer;
  } catch (error) {
    if (!(error instanceof Error && /^(Exit|Abort)PromptError$/.test(error.name))) throw error;
    abort();
    return left;
  }
}

function throughPipe(terminal: Terminal, signal: AbortSignal): Operator {
  const reader = createInterface({ input: process.stdin, signal });
  const lines = reader[Symbol.asyncIterator]();
  const answer = async (question: string): Promise<string> => {
    const { value, done } = await lines.next();
    if (signal.aborted) return '';
    if (done) throw new NobodyToAsk(question);
    terminal.err(`${question} ${value}`);
    return String(value).trim();
  };
  return {
    text: answer,
    confirm: async (question) => /^(y|yes)$/i.test(await answer(question)),
    close: () => reader.close(),
  };
}

import { createInterface } from 'node:readline/promises';
import type { BenchSetup } from '../../bench/bench-setup.js';
import { wrapText } from '../../document/text/wrap-text.js';
import { asTold, inputError } from '../../errors/error-table.js';
import type { Question } from '../../safety/question.js';
import { visibleText } from '../../units/visible-text.js';
import type { interruption } from '../run/interruption.js';
import type { Terminal } from './terminal.js';

/** Somebody must be there to answer, and nobody is. */
export const NobodyToAsk = inputError('NOBODY_TO_ASK', (question: string) => ({
  what: `a person at the bench must answer this, and nobody is present: "${question}"`,
  mend: 'Run it in a terminal',
}));

/** What puts power on real terminals is confirmed by a person at a terminal, and by nothing that a pipe can say. */
export const TerminalNeeded = inputError('TERMINAL_NEEDED', asTold);

type Interruption = Pick<ReturnType<typeof interruption>, 'signal' | 'abort'>;
type AskedBench = Pick<BenchSetup, 'energises' | 'practice' | 'path'>;

/** Puts questions to the person at the bench. The only place where anything is asked. */
export interface Operator {
  /** True for yes; false also when the operator breaks off, which also aborts. @throws NobodyToAsk when standard input has ended */
  confirm(question: Question): Promise<boolean>;
  /**
   * A line of text, with something in it unless `mayBeEmpty`; empty when the operator breaks off, which also aborts.
   *
   * @throws NobodyToAsk when standard input has ended
   */
  text(question: string, mayBeEmpty?: 'may-be-empty'): Promise<string>;
  close(): void;
}

/**
 * The person at a terminal; on a bench that puts no power on anything real, also the lines that come through a pipe.
 *
 * @throws TerminalNeeded
 */
export function operatorAt(
  terminal: Terminal,
  { signal, abort }: Interruption,
  { energises, practice, path }: AskedBench,
): Operator {
  if (process.stdin.isTTY) return atTerminal(signal, abort);
  if (!energises || practice) return throughPipe(terminal, signal);
  throw new TerminalNeeded({
    what: 'this bench can energise a real unit, so a person must answer at a terminal; standard input is not one',
    where: path,
    mend: 'Nothing was played. Run it in a terminal, or sign a permit in person with ohmest permit',
  });
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
    async confirm({ text }) {
      const { confirm } = await import('@inquirer/prompts');
      return answerOrLeft(confirm({ message: onTerminal(text), default: false }, context), false, abort);
    },
    async text(question, mayBeEmpty) {
      const { input } = await import('@inquirer/prompts');
      const prompt = { message: onTerminal(question), required: mayBeEmpty === undefined };
      return answerOrLeft(input(prompt, context), '', abort);
    },
    close: () => undefined,
  };
}

/** Room that a prompt needs beside its question: the mark before it, and `(y/N) yes` after it. */
const BESIDE = 14;
const LEAST = 20;

/**
 * A question broken between words: prompts break a long line wherever it ends, also inside a figure that somebody is to
 * confirm.
 *
 * @param columns of the terminal
 */
export const questionLines = (question: string, columns: number): string =>
  wrapText(visibleText(question), Math.max(LEAST, columns - BESIDE));

/** The answer, or `left` when the operator broke off with Ctrl-C, which a prompt takes for itself. */
async function answerOrLeft<T>(answer: Promise<T>, left: T, abort: () => void): Promise<T> {
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
    text: (question) => answer(question),
    confirm: async ({ text }) => /^(y|yes)$/i.test(await answer(text)),
    close: () => reader.close(),
  };
}

/** Who answers must be known by name. */
export const NameNeeded = inputError('NAME_NEEDED', asTold);

const LEAST_LETTERS = 2;
/** Answers to another question. */
const NO_NAMES = /^(y|yes|n|no|ok|okay)$/i;

/** @returns the name. @throws NameNeeded for what is none */
export function requireName(typed: string): string {
  const name = typed.trim();
  if ((name.match(/\p{L}/gu) ?? []).length >= LEAST_LETTERS && !NO_NAMES.test(name)) return name;
  throw new NameNeeded({
    what: name === '' ? 'no name was given for the record' : `'${name.slice(0, 40)}' is not a name`,
    mend: 'Nothing was played. Give the name of the person at the bench, two letters at least',
  });
}

/** Asks who is there. */
export async function nameOf(operator: Operator, signal: AbortSignal): Promise<string | null> {
  const typed = await operator.text('Your name, for the record:');
  return signal.aborted ? null : requireName(typed);
}

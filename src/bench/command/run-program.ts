import type { ChildProcess } from 'node:child_process';
import { once } from 'node:events';
import { setTimeout as delay } from 'node:timers/promises';
import { signalGroup } from '../start-program.js';
import { CommandFailed, CommandKilled, CommandTimedOut } from './command-faults.js';
import { OutputTail } from './output-tail.js';
import { endGroup, GRACE_MS, notStarted, startGroup } from './process-group.js';

/** How a program came to its end. */
export type ProgramEnd =
  | { readonly kind: 'exited'; readonly status: number; readonly said: string }
  | { readonly kind: 'killed'; readonly signal: string; readonly said: string }
  | { readonly kind: 'timed-out'; readonly said: string }
  | { readonly kind: 'stopped' };

export interface ProgramLimits {
  /** Folder in which the program runs; a relative path of the program counts from there. */
  readonly folder: string;
  readonly timeout_s: number;
  /** Ends the program early. */
  readonly signal: AbortSignal;
  /** Where the program is named, for messages. */
  readonly where: string;
}

const LONGEST_TIMER_MS = 2 ** 31 - 1;

/**
 * Runs a program to its end, without a shell, with nothing on its stdin, in a process group of its own:
 * whatever it starts ends with it, and nothing is left running when this function returns or when this
 * process exits in good order. A process that is killed cannot see to that: a program that drives hardware
 * must come to its own end.
 *
 * @throws CommandNotFound, CommandNotStarted
 */
export async function runProgram(argv: readonly string[], limits: ProgramLimits): Promise<ProgramEnd> {
  const { timeout_s, signal } = limits;
  if (signal.aborted) return { kind: 'stopped' };
  const child = startGroup(argv, limits, 'ignore');
  const said = listen(child);
  const closed = new Promise((resolve) => child.once('close', resolve));

  let cutShort: 'timed-out' | 'stopped' | null = null;
  const cut = (why: 'timed-out' | 'stopped') => {
    cutShort ??= why;
    void endGroup(child);
  };
  const stop = () => cut('stopped');
  const timer = setTimeout(() => cut('timed-out'), Math.min(timeout_s * 1000, LONGEST_TIMER_MS));
  const killAtExit = () => signalGroup(child, 'SIGKILL');
  signal.addEventListener('abort', stop);
  process.once('exit', killAtExit);
  try {
    const [status, killer] = await exit(child, argv, limits.where);
    await endGroup(child);
    // What was printed last may still be in the pipes; a stranger that holds them open is not waited for.
    await Promise.race([closed, delay(GRACE_MS)]);
    if (cutShort === 'stopped') return { kind: 'stopped' };
    if (cutShort) return { kind: cutShort, said: said() };
    if (killer) return { kind: 'killed', signal: killer, said: said() };
    return { kind: 'exited', status: status ?? 0, said: said() };
  } finally {
    clearTimeout(timer);
    signal.removeEventListener('abort', stop);
    process.removeListener('exit', killAtExit);
    child.stdout?.destroy();
    child.stderr?.destroy();
  }
}

/** Collects what the program prints; stderr is told first, since that is where programs complain. */
function listen(child: ChildProcess): () => string {
  const out = new OutputTail();
  const err = new OutputTail();
  child.stdout?.on('data', (chunk: Buffer) => out.push(chunk));
  child.stderr?.on('data', (chunk: Buffer) => err.push(chunk));
  return () => err.lastLines() || out.lastLines();
}

async function exit(
  child: ChildProcess,
  argv: readonly string[],
  where: string,
): Promise<[status: number | null, signal: string | null]> {
  try {
    return (await once(child, 'exit')) as [number | null, string | null];
  } catch (error) {
    throw notStarted(error, argv, where);
  }
}

const TRY_BY_HAND = 'Run it by hand on a WAV file to see what it lacks';

/**
 * Passes over a program that ended with status 0.
 *
 * @param end how it ended
 * @param program its name and the time it was given, and where both stand, for messages
 * @throws CommandTimedOut, CommandKilled, CommandFailed
 */
export function requireSuccess(
  end: Exclude<ProgramEnd, { kind: 'stopped' }>,
  program: { readonly name: string; readonly timeout_s: number; readonly where: string },
): void {
  const { name, timeout_s, where } = program;
  const said = end.said ? `, saying: ${end.said}` : '';
  if (end.kind === 'timed-out') {
    throw new CommandTimedOut({
      where,
      what: `the program ${name} had not ended after ${timeout_s} s${said}`,
      mend: 'Correct the program, or allow it more time in the bench file',
    });
  }
  if (end.kind === 'killed') {
    const what = `the program ${name} was ended by the signal ${end.signal}${said}`;
    throw new CommandKilled({ where, what, mend: TRY_BY_HAND });
  }
  if (end.status !== 0) {
    const what = `the program ${name} ended with status ${end.status}${said}`;
    throw new CommandFailed({ where, what, mend: TRY_BY_HAND });
  }
}

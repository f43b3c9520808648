import type { ChildProcess } from 'node:child_process';
import { setTimeout as delay } from 'node:timers/promises';
import { signalGroup, startProgram } from '../start-program.js';
import { CommandNotFound, CommandNotStarted } from './command-faults.js';

/** A program that drives hardware may use this time after SIGTERM to ramp down; then it is killed. */
export const GRACE_MS = 200;

/** Where a program runs, and where it is named, for messages. */
export interface ProgramPlace {
  readonly folder: string;
  readonly where: string;
}

/**
 * Starts a program without a shell, in a process group of its own, so that whatever it starts can be ended with it.
 *
 * @param input what it finds on its standard input
 * @throws CommandNotStarted; what else keeps it from starting comes as its `error` event: see `notStarted`
 */
export function startGroup(
  argv: readonly string[],
  { folder, where }: ProgramPlace,
  input: 'ignore' | 'pipe',
): ChildProcess {
  try {
    return startProgram(argv, { cwd: folder, stdio: [input, 'pipe', 'pipe'] });
  } catch (error) {
    throw notStarted(error, argv, where);
  }
}

/** The fault of a program that did not start. */
export function notStarted(error: unknown, argv: readonly string[], where: string): Error {
  const program = argv[0] ?? '';
  const cause = error as NodeJS.ErrnoException;
  if (cause.code === 'ENOENT') {
    return new CommandNotFound({
      where,
      what: `the program ${program} was not found`,
      mend: 'Install it or give its path in argv; a relative path counts from the folder of the bench file',
      cause,
    });
  }
  return new CommandNotStarted({
    where,
    what: `the program ${program} could not be started (${cause.code ?? cause.message})`,
    mend: 'It must be a file that may be executed',
    cause,
  });
}

/** Asks every process of the group to end, and kills those that have not after the time of grace. */
export async function endGroup(child: ChildProcess): Promise<void> {
  if (!signalGroup(child, 'SIGTERM')) return;
  const deadline = performance.now() + GRACE_MS;
  while (performance.now() < deadline) {
    await delay(10);
    if (!signalGroup(child, 0)) return;
  }
  signalGroup(child, 'SIGKILL');
}

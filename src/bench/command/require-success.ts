import { CommandFailed, CommandKilled, CommandTimedOut } from './command-faults.js';
import type { ProgramEnd } from './run-program.js';

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
      mend: 'Mend the program, or allow it more time in the bench file',
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

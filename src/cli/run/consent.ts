import type { BenchSetup } from '../../bench/bench-setup.js';
import type { BenchProgram } from '../../bench/program-consent.js';
import { ProgramConsent } from '../../bench/program-consent.js';
import { wrapText } from '../../document/text/wrap-text.js';
import { inputError } from '../../errors/error-table.js';
import { MAY_PROGRAMS_RUN } from '../../safety/question.js';
import { oneLine } from '../../units/visible-text.js';
import { operatorAt } from '../terminal/ask.js';
import { shown } from '../terminal/shown-path.js';
import type { Terminal } from '../terminal/terminal.js';
import { interruption } from './interruption.js';

/** Programs would be started that nobody has asked for. */
export const ProgramsNotNamed = inputError(
  'PROGRAMS_NOT_NAMED',
  (path: string, programs: readonly BenchProgram[]) => ({
    what: `this bench file starts programs, and the command does not name it: ${programs.map(words).join('; ')}`,
    where: path,
    mend: `No program was started and nothing was played. Read the file, then name it with --bench ${shown(path)}`,
  }),
);

/** How a command got at its bench file. */
export interface BenchGiven {
  /** Whether its name stands in the command itself: not in a variable of the environment, not found by its content. */
  readonly benchTyped?: boolean;
  readonly permit?: string;
}

/**
 * The consent to the programs of a bench: given where the command names the bench file, else by a person at a terminal who is
 * shown them.
 *
 * @param operatorOf who is asked
 * @throws ProgramsNotNamed where neither is so
 */
export async function consentTo(
  terminal: Terminal,
  setup: BenchSetup,
  { benchTyped = false, permit }: BenchGiven,
  operatorOf = operatorAt,
): Promise<ProgramConsent> {
  if (benchTyped) return ProgramConsent.byName(setup);
  let named: readonly BenchProgram[] = [];
  const consent = await ProgramConsent.byAsking(setup, async (programs) => {
    named = programs;
    return (
      permit === undefined &&
      process.stdin.isTTY === true &&
      askInTerminal(terminal, setup, programs, operatorOf)
    );
  });
  if (consent === null) throw new ProgramsNotNamed(setup.path, named);
  return consent;
}

async function askInTerminal(
  terminal: Terminal,
  setup: BenchSetup,
  programs: readonly BenchProgram[],
  operatorOf: typeof operatorAt,
): Promise<boolean> {
  terminal.err(`The bench file ${shown(setup.path)} starts these programs:`);
  for (const program of programs) terminal.err(wrapText(`- ${words(program)}`, terminal.talkWidth, '  '));
  const { signal, abort, release } = interruption();
  const operator = operatorOf(terminal, { signal, abort }, setup);
  try {
    return await operator.confirm(MAY_PROGRAMS_RUN);
  } finally {
    operator.close();
    release();
  }
}

/** `sensor heatsink: 'read-probe' '--port' '3'`. */
const words = ({ user, argv }: BenchProgram): string =>
  `${user}: ${argv.map((text) => `'${oneLine(text, 200)}'`).join(' ')}`;

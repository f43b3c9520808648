import { asTold, inputError } from '../../errors/error-table.js';
import type { Operator } from './ask.js';

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

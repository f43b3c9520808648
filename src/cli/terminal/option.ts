import { asTold, inputError } from '../../errors/error-table.js';
import { BadQuantity } from '../../units/parse.js';

/** What an option says cannot be. */
export const OptionWrong = inputError('OPTION_WRONG', asTold);

/**
 * What `read` gives, or its complaint with the option that it is about: several options may take a quantity of one kind.
 *
 * @param option as it is typed, such as `--load`
 * @throws BadQuantity, and whatever else `read` throws
 */
export function inOption<T>(option: string, read: () => T): T {
  try {
    return read();
  } catch (error) {
    if (!(error instanceof BadQuantity)) throw error;
    throw new BadQuantity({ ...error.explanation, where: option });
  }
}

/** What was given as a port is none. */
export const NoPort = inputError('NO_PORT', asTold);

/**
 * A port as typed; null, for any that is free, when none was given.
 *
 * @param option the option's name, for the message
 * @throws NoPort
 */
export function portGiven(typed: string | undefined, option: string): number | null {
  if (typed === undefined) return null;
  const port = /^\d{1,5}$/.test(typed) ? Number(typed) : Number.NaN;
  if (port >= 1024 && port <= 65_535) return port;
  throw new NoPort({
    what: `${option} '${typed.slice(0, 40)}' is not a port`,
    mend: 'Give a number from 1024 to 65535, or leave it out: then any free one is taken',
  });
}

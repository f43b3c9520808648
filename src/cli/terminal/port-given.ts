import { asTold, inputError } from '../../errors/error-table.js';

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

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

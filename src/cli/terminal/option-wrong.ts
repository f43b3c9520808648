import { asTold, inputError } from '../../errors/error-table.js';

/** What an option says cannot be. */
export const OptionWrong = inputError('OPTION_WRONG', asTold);

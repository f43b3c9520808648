import { InputError } from '../../errors/ohmest-error.js';

/** What an option says cannot be. */
export class OptionWrong extends InputError {
  readonly code = 'OPTION_WRONG';
}

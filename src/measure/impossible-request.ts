import { InputError } from '../errors/ohmest-error.js';

/** The caller asked for an analysis that no record could answer: a band or frequency outside what the rate allows. */
export class ImpossibleRequest extends InputError {
  readonly code = 'IMPOSSIBLE_ANALYSIS';
}

import { BenchFault, InputError } from '../../errors/ohmest-error.js';

/** The bench file and the twin that it names do not go together. */
export class TwinDoesNotFit extends InputError {
  readonly code = 'TWIN_DOES_NOT_FIT';
}

/** A setting asks for a load that the bench file does not give. */
export class LoadNotOnBench extends BenchFault {
  readonly code = 'LOAD_NOT_ON_BENCH';
}

/** The twin file that a bench file names is not there, or may not be read. */
export class TwinNotReadable extends InputError {
  readonly code = 'TWIN_NOT_READABLE';
}

import { BenchFault } from '../../errors/ohmest-error.js';

/** The program named in the bench file does not exist. */
export class ProgramNotFound extends BenchFault {
  readonly code = 'COMMAND_NOT_FOUND';
}

/** The program exists but the system will not start it. */
export class ProgramNotStarted extends BenchFault {
  readonly code = 'COMMAND_NOT_STARTED';
}

/** The program ended with an exit status other than 0. */
export class ProgramFailed extends BenchFault {
  readonly code = 'COMMAND_FAILED';
}

/** The program was ended by a signal that did not come from here. */
export class ProgramKilled extends BenchFault {
  readonly code = 'COMMAND_KILLED';
}

/** The program took longer than the bench file allows. */
export class ProgramTimedOut extends BenchFault {
  readonly code = 'COMMAND_TIMED_OUT';
}

/** The stimulus could not be written, or the response could not be fetched, for reasons of the disk. */
export class ExchangeFault extends BenchFault {
  readonly code = 'COMMAND_EXCHANGE';
}

/** The program ended well but left no response. */
export class ResponseMissing extends BenchFault {
  readonly code = 'RESPONSE_MISSING';
}

/** The response holds no samples. */
export class ResponseEmpty extends BenchFault {
  readonly code = 'RESPONSE_EMPTY';
}

/** The response is no WAV file, a damaged one, or one in a coding that cannot be measured. */
export class ResponseUnreadable extends BenchFault {
  readonly code = 'RESPONSE_UNREADABLE';
}

/** The response is so much longer than the stimulus that something must have gone wrong. */
export class ResponseTooLarge extends BenchFault {
  readonly code = 'RESPONSE_TOO_LARGE';
}

/** The response has another rate than the stimulus. */
export class ResponseWrongRate extends BenchFault {
  readonly code = 'RESPONSE_WRONG_RATE';
}

/** The response has another number of channels than the stimulus. */
export class ResponseWrongChannels extends BenchFault {
  readonly code = 'RESPONSE_WRONG_CHANNELS';
}

/** The response ends before the stimulus does. */
export class ResponseTooShort extends BenchFault {
  readonly code = 'RESPONSE_TOO_SHORT';
}

/** The response holds a NaN or an infinity. */
export class ResponseNotFinite extends BenchFault {
  readonly code = 'RESPONSE_NOT_FINITE';
}

import { asTold, benchFault } from '../../errors/error-table.js';

/** The program named in the bench file does not exist. */
export const CommandNotFound = benchFault('COMMAND_NOT_FOUND', asTold);

/** The program exists but the system will not start it. */
export const CommandNotStarted = benchFault('COMMAND_NOT_STARTED', asTold);

/** The program ended with an exit status other than 0. */
export const CommandFailed = benchFault('COMMAND_FAILED', asTold);

/** The program was ended by a signal that did not come from here. */
export const CommandKilled = benchFault('COMMAND_KILLED', asTold);

/** The program took longer than the bench file allows. */
export const CommandTimedOut = benchFault('COMMAND_TIMED_OUT', asTold);

/** The stimulus could not be written, or the response could not be fetched, for reasons of the disk. */
export const CommandExchange = benchFault('COMMAND_EXCHANGE', asTold);

/** The program ended well but left no response. */
export const ResponseMissing = benchFault('RESPONSE_MISSING', asTold);

/** The response holds no samples. */
export const ResponseEmpty = benchFault('RESPONSE_EMPTY', asTold);

/** The response is no WAV file, a damaged one, or one in a coding that cannot be measured. */
export const ResponseUnreadable = benchFault('RESPONSE_UNREADABLE', asTold);

/** The response is so much longer than the stimulus that something must have gone wrong. */
export const ResponseTooLarge = benchFault('RESPONSE_TOO_LARGE', asTold);

/** The response has another rate than the stimulus. */
export const ResponseWrongRate = benchFault('RESPONSE_WRONG_RATE', asTold);

/** The response has another number of channels than the stimulus. */
export const ResponseWrongChannels = benchFault('RESPONSE_WRONG_CHANNELS', asTold);

/** The response ends before the stimulus does. */
export const ResponseTooShort = benchFault('RESPONSE_TOO_SHORT', asTold);

/** The response holds a NaN or an infinity. */
export const ResponseNotFinite = benchFault('RESPONSE_NOT_FINITE', asTold);

/** A program that streams did not answer in time. */
export const CommandStalled = benchFault('COMMAND_STALLED', asTold);

/** A program that streams ended before its input did. */
export const CommandEnded = benchFault('COMMAND_ENDED', asTold);

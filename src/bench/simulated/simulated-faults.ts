import { asTold, benchFault, inputError } from '../../errors/error-table.js';

/** The bench file and the twin that it names do not go together. */
export const TwinDoesNotFit = inputError('TWIN_DOES_NOT_FIT', asTold);

/** A setting asks for a load that the bench file does not give. */
export const LoadNotOnBench = benchFault('LOAD_NOT_ON_BENCH', asTold);

/** The twin file that a bench file names is not there, or may not be read. */
export const TwinNotReadable = inputError('TWIN_NOT_READABLE', asTold);

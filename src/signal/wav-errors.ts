import { asTold, inputError } from '../errors/error-table.js';

/** A file without a single byte. */
export const WavEmptyFile = inputError('WAV_EMPTY_FILE', asTold);

/** Something else than WAV. */
export const WavNotWav = inputError('WAV_NOT_WAV', asTold);

/** A header in order, but not one sample after it. */
export const WavNoSamples = inputError('WAV_NO_SAMPLES', asTold);

/** The file ends before its header says it does. */
export const WavTruncated = inputError('WAV_TRUNCATED', asTold);

/** WAV, but with samples in a coding that cannot be measured or is not read here. */
export const WavUnsupportedCoding = inputError('WAV_UNSUPPORTED_CODING', asTold);

/** A header that contradicts itself or cannot be true. */
export const WavBadHeader = inputError('WAV_BAD_HEADER', asTold);

/** More samples than the 32-bit sizes of a WAV header can count, or than may be held at once. */
export const WavTooLarge = inputError('WAV_TOO_LARGE', asTold);

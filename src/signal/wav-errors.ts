import { inputError } from '../errors/error-table.js';

/** The file that an error is about, where it is known. */
export type Where = { readonly where?: string };

const told = (what: string, mend: string, where: Where = {}) => ({ ...where, what, mend });

/** A file without a single byte. */
export const WavEmptyFile = inputError('WAV_EMPTY_FILE', told);

/** Something else than WAV. */
export const WavNotWav = inputError('WAV_NOT_WAV', told);

/** A header in order, but not one sample after it. */
export const WavNoSamples = inputError('WAV_NO_SAMPLES', told);

/** The file ends before its header says it does. */
export const WavTruncated = inputError('WAV_TRUNCATED', told);

/** WAV, but with samples in a coding that cannot be measured or is not read here. */
export const WavUnsupportedCoding = inputError('WAV_UNSUPPORTED_CODING', told);

/** A header that contradicts itself or cannot be true. */
export const WavBadHeader = inputError('WAV_BAD_HEADER', told);

/** More samples than the 32-bit sizes of a WAV header can count, or than may be held at once. */
export const WavTooLarge = inputError('WAV_TOO_LARGE', told);

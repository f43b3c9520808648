import { InputError } from '../errors/ohmest-error.js';

/** A file without a single byte. */
export class EmptyWavFile extends InputError {
  readonly code = 'WAV_EMPTY_FILE';
}

/** Something else than WAV. */
export class NotWav extends InputError {
  readonly code = 'WAV_NOT_WAV';
}

/** A header in order, but not one sample after it. */
export class NoWavSamples extends InputError {
  readonly code = 'WAV_NO_SAMPLES';
}

/** The file ends before its header says it does. */
export class TruncatedWav extends InputError {
  readonly code = 'WAV_TRUNCATED';
}

/** WAV, but with samples in a coding that cannot be measured or is not read here. */
export class UnsupportedWavCoding extends InputError {
  readonly code = 'WAV_UNSUPPORTED_CODING';
}

/** A header that contradicts itself or cannot be true. */
export class BadWavHeader extends InputError {
  readonly code = 'WAV_BAD_HEADER';
}

/** More samples than the 32-bit sizes of a WAV header can count, or than may be held at once. */
export class WavTooLarge extends InputError {
  readonly code = 'WAV_TOO_LARGE';
}

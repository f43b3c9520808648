import { EXIT, InputError, OhmestError } from '../errors/ohmest-error.js';

/** What had to be done by hand was not confirmed. */
export class NotConfirmed extends InputError {
  readonly code = 'NOT_CONFIRMED';
}

/** A reading that cannot be what was asked for: wrong range, wrong unit, peak for rms. */
export class ReadingImplausible extends InputError {
  readonly code = 'READING_IMPLAUSIBLE';
}

/** The same thing read twice gave two values. */
export class ReadingUnstable extends InputError {
  readonly code = 'READING_UNSTABLE';
}

/** The meter's accuracy leaves nothing of what it is to read. */
export class MeterTooCoarse extends InputError {
  readonly code = 'METER_TOO_COARSE';
}

/** Readings do not grow with the level as they must. */
export class NotLinear extends InputError {
  readonly code = 'NOT_LINEAR';
}

/** An input hears nothing of the tone that was sent to it. */
export class NothingHeard extends InputError {
  readonly code = 'NOTHING_HEARD';
}

/** A tone comes back on another input than its own. */
export class ChannelsSwapped extends InputError {
  readonly code = 'CHANNELS_SWAPPED';
}

/** A converter clips, so that its full scale cannot be told from what it shows. */
export class ConverterClips extends InputError {
  readonly code = 'CONVERTER_CLIPS';
}

/** Another part of the chain must be calibrated first, or the meter's accuracy be stated. */
export class NothingToCompareWith extends InputError {
  readonly code = 'NOTHING_TO_COMPARE_WITH';
}

/** What was typed, or a record, cannot be put on disk. */
export class NotKept extends InputError {
  readonly code = 'NOT_KEPT';

  constructor(path: string, cause: unknown) {
    const { code } = cause as NodeJS.ErrnoException;
    super(
      {
        what: `this file cannot be written (${code ?? (cause as Error).message})`,
        where: path,
        mend: 'Make room or name another folder with --into, and start again in the same way: readings that are on disk are kept',
      },
      { cause },
    );
  }
}

/** The operator broke off: the tone was ramped down and no record was written. */
export class CalibrationBrokenOff extends OhmestError {
  readonly code = 'BROKEN_OFF';
  readonly exitStatus = EXIT.interrupted;

  constructor() {
    super({
      what: 'the calibration was broken off, the tone ramped down and no record written',
      mend: 'Start it again in the same way: readings that were typed are kept, what the bench measures by itself is measured anew',
    });
  }
}

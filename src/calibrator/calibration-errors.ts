import { asTold, inputError } from '../errors/error-table.js';
import { EXIT, OhmestError } from '../errors/ohmest-error.js';

/** What had to be done by hand was not confirmed. */
export const NotConfirmed = inputError('NOT_CONFIRMED', asTold);

/** A reading that cannot be what was asked for: wrong range, wrong unit, peak for rms. */
export const ReadingImplausible = inputError('READING_IMPLAUSIBLE', asTold);

/** The same thing read twice gave two values. */
export const ReadingUnstable = inputError('READING_UNSTABLE', asTold);

/** The meter's accuracy leaves nothing of what it is to read. */
export const MeterTooCoarse = inputError('METER_TOO_COARSE', asTold);

/** Readings do not grow with the level as they must. */
export const NotLinear = inputError('NOT_LINEAR', asTold);

/** An input hears nothing of the tone that was sent to it. */
export const NothingHeard = inputError('NOTHING_HEARD', asTold);

/** A tone comes back on another input than its own. */
export const ChannelsSwapped = inputError('CHANNELS_SWAPPED', asTold);

/** A converter clips, so that its full scale cannot be told from what it shows. */
export const ConverterClips = inputError('CONVERTER_CLIPS', asTold);

/** Another part of the chain must be calibrated first, or the meter's accuracy be stated. */
export const NothingToCompareWith = inputError('NOTHING_TO_COMPARE_WITH', asTold);

/** What was typed, or a record, cannot be put on disk. */
export const NotKept = inputError('NOT_KEPT', (path: string, cause: unknown) => ({
  what: `this file cannot be written (${(cause as NodeJS.ErrnoException).code ?? (cause as Error).message})`,
  where: path,
  mend: 'Make room or name another folder with --into, and start again in the same way: readings that are on disk are kept',
  cause,
}));

/** The operator broke off: the tone was ramped down and no record was written. */
export class CalibrationBrokenOff extends OhmestError {
  readonly code = 'BROKEN_OFF';
  readonly exitStatus = EXIT.interrupted;

  constructor() {
    super({
      what: 'the calibration was interrupted, the tone ramped down and no record written',
      mend: 'Start it again in the same way: typed readings are kept, what the bench measures by itself is measured again',
    });
  }
}

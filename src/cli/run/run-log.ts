import { type Logger, pino } from 'pino';
import { RotatingFile, type Rotation } from './rotating-file.js';

/** A night of points takes a few megabytes. */
const ROTATION: Rotation = { bytes: 5_000_000, older: 2 };

/**
 * The log of a run, beside the database: one JSON object a line, in at most three files of 5 MB. Written synchronously,
 * so that the last lines before a crash are there. A log that cannot be written never stops a run: that is said
 * once, and the run goes on without.
 */
export function openLog(databasePath: string, complain: (text: string) => void, rotation = ROTATION): Logger {
  const path = `${databasePath}.log`;
  const file = new RotatingFile(path, rotation, (reason) =>
    complain(`the log ${path} cannot be written: ${reason}`),
  );
  return pino({ base: null, timestamp: pino.stdTimeFunctions.isoTime }, file);
}

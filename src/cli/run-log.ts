import { type Logger, pino } from 'pino';

/**
 * The log of a run, beside the database: one JSON object a line. Written synchronously, so that the last
 * lines before a crash are there. A log that cannot be written never stops a run: it is replaced by silence.
 */
export function openLog(databasePath: string, complain: (text: string) => void): Logger {
  const path = `${databasePath}.log`;
  try {
    const destination = pino.destination({ dest: path, sync: true, mkdir: true });
    destination.on('error', (error: Error) =>
      complain(`the log ${path} cannot be written: ${error.message}`),
    );
    return pino({ base: null, timestamp: pino.stdTimeFunctions.isoTime }, destination);
  } catch (error) {
    complain(`no log is kept: ${path} cannot be written: ${error instanceof Error ? error.message : error}`);
    return pino({ enabled: false });
  }
}

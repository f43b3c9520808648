import { CalibrationBrokenOff, ReadingImplausible } from './calibration-errors.js';
import type { CalibrationWork } from './calibration-work.js';
import type { MeterQuestion } from './meter.js';

/** One reading to be taken, and how to tell that it cannot be right. */
export interface Wanted {
  readonly question: MeterQuestion;
  /** The question as a person is asked it. */
  readonly text: string;
  /** Why a reading cannot be right; null when it can. */
  fault(reading: number): string | null;
}

const TRIES = 2;

/**
 * Takes a reading; one that cannot be right is asked for once more, with the reason.
 *
 * @param whileReading keeps a tone playing until the answer is there
 * @throws ReadingImplausible
 */
export async function askPlausibly(
  work: CalibrationWork,
  wanted: Wanted,
  whileReading: (ask: () => Promise<number>) => Promise<number> = (ask) => ask(),
): Promise<number> {
  const { question, text, fault } = wanted;
  for (let tries = 1; ; tries += 1) {
    const reading = await whileReading(() => work.meter.read(question, text));
    if (work.signal.aborted) throw new CalibrationBrokenOff();
    const reason = fault(reading);
    if (reason === null) return reading;
    if (tries === TRIES) {
      await work.meter.withdraw?.(question, text);
      throw new ReadingImplausible({
        what: reason,
        where: `channel ${question.channel}`,
        mend: 'No record was written; the readings before this one are kept for a new start',
      });
    }
    work.tell(`! ${reason}. Read it again.`);
  }
}

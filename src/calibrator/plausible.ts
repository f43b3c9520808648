import { formatQuantity } from '../units/format.js';
import type { Unit } from '../units/quantity.js';
import { CalibrationBrokenOff, ReadingImplausible } from './calibration-errors.js';
import type { CalibrationWork } from './calibration-work.js';
import type { MeterQuestion } from './meter.js';

/** Factors by which a reading goes wrong when a person takes it, and what is then the matter. */
const MISTAKES: readonly (readonly [factor: number, reason: string])[] = [
  [1000, 'the unit is a thousand times off: type volts, not millivolts, or write the unit'],
  [1 / 1000, 'the unit is a thousand times off: check the range, or write the unit'],
  [100, 'it is a hundred times off: check the range and the decimal point'],
  [1 / 100, 'it is a hundred times off: check the range and the decimal point'],
  [10, 'it is ten times off: check the range and the decimal point'],
  [1 / 10, 'it is ten times off: check the range and the decimal point'],
  [2 * Math.SQRT2, 'that would be peak to peak: type the rms value'],
  [Math.SQRT2, 'that would be the peak: type the rms value, or correct the full scale in the bench file'],
  [
    1 / Math.SQRT2,
    'that would be the rms value of half the power: correct the full scale in the bench file if the meter is right',
  ],
];
/** How near to a factor a reading must come to be taken for that mistake. */
const NEAR = 0.1;
/** Below this share of what is expected there is no signal at all. */
const NOTHING = 0.0004;

/**
 * Why a reading cannot be what was asked for; null when it can.
 *
 * @param expected what the bench file or earlier readings lead one to expect, above zero
 * @param within share by which a right reading may differ from it
 * @param nothing what to say when the reading shows no signal
 */
export function implausible(
  reading: number,
  expected: {
    readonly value: number;
    readonly within: number;
    readonly unit: Unit;
    readonly nothing: string;
  },
): string | null {
  const print = (value: number) => formatQuantity(value, expected.unit, { figures: 4 });
  const about = `about ${print(expected.value)} is expected`;
  if (!Number.isFinite(reading)) return `that is not a number; ${about}`;
  if (reading < 0) return `${print(reading)} is negative; ${about}`;
  const ratio = reading / expected.value;
  if (Math.abs(ratio - 1) <= expected.within) return null;
  if (ratio < NOTHING) return `${print(reading)} shows no signal; ${about}: ${expected.nothing}`;
  const mistake = MISTAKES.find(([factor]) => Math.abs(ratio / factor - 1) <= NEAR);
  const reason = mistake ? mistake[1] : `check what the meter is connected to, and what the bench file says`;
  return `${print(reading)} is ${Number(ratio.toPrecision(3))} times what is expected (${print(expected.value)}): ${reason}`;
}

/** One reading to be taken, and how to tell that it cannot be right. */
export interface WantedReading {
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
  wanted: WantedReading,
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
    work.tell(`! ${reason}${reason.endsWith('?') ? '' : '.'} Read it again.`);
  }
}

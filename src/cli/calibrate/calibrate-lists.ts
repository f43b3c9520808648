import type { Calibrated } from '../../calibrator/calibrate.js';
import { parseQuantity } from '../../units/parse.js';
import { inOption, OptionWrong } from '../terminal/option.js';

/** Levels a tone may have: below the rails, above the noise. */
const LOWEST_dB = -80;
const HIGHEST_dB = -0.5;
/** Levels that a straight line is fitted through. */
const LEAST_LEVELS = 3;
/** Nearer levels than this cannot be told apart in a record of a floor, and tell nothing of a line. */
const LEAST_STEP_dB = 0.1;
/** Together no more than a record takes, and more than anybody has patience for. */
const MOST_LEVELS = 20;
const MOST_FREQUENCIES = 100;
const REFERENCE_Hz = 1000;
/** Share by which a frequency must differ from another to be played as a tone of its own at every rate. */
const CLEAR = 0.01;

const LEVEL_EXAMPLE = "as in --level '-20, -6, -1 dB'";
const FREQUENCY_EXAMPLE = "as in --frequency '20 Hz, 1 kHz, 20 kHz'";

/** The levels of `--level`, dB relative to full scale; null when none are given. @throws BadQuantity, OptionWrong */
export function levelsOf(text: string | undefined, what: Calibrated | null): number[] | null {
  if (text === undefined) return null;
  const parts = text.split(',').map((part) => part.trim());
  const levels = [
    ...new Set(
      parts.map((part) =>
        inOption('--level', () => parseQuantity(part.endsWith('dB') ? part : `${part} dB`, 'dB') as number),
      ),
    ),
  ];
  const wrong = levels.find((level) => level < LOWEST_dB || level > HIGHEST_dB);
  if (wrong !== undefined)
    throw new OptionWrong({
      what: `a level of ${wrong} dB cannot be used`,
      mend: `Levels lie from ${LOWEST_dB} dB to ${HIGHEST_dB} dB relative to full scale, ${LEVEL_EXAMPLE}`,
    });
  if (what !== 'floor' && levels.length < LEAST_LEVELS)
    throw new OptionWrong({
      what: `${levels.length} level${levels.length === 1 ? ' is' : 's are'} too few to tell whether the chain is linear`,
      mend: `Name ${LEAST_LEVELS} or more, ${LEVEL_EXAMPLE}`,
    });
  requireApart(levels);
  return levels;
}

/** @throws OptionWrong */
function requireApart(levels: readonly number[]): void {
  if (levels.length > MOST_LEVELS)
    throw new OptionWrong({
      what: `${levels.length} levels are too many`,
      mend: `Name ${MOST_LEVELS} at most, ${LEVEL_EXAMPLE}`,
    });
  const rising = [...levels].sort((a, b) => a - b);
  const near = rising.findIndex((level, i) => i > 0 && level - rising[i - 1]! < LEAST_STEP_dB - 1e-9);
  if (near > 0)
    throw new OptionWrong({
      what: `the levels ${rising[near - 1]} dB and ${rising[near]} dB are too near to each other`,
      mend: `Keep them ${LEAST_STEP_dB} dB apart or more, ${LEVEL_EXAMPLE}`,
    });
}

/**
 * The frequencies of `--frequency`, rising; null when none are given.
 *
 * @param rate_Hz of the bench; null: not known
 * @throws BadQuantity, OptionWrong
 */
export function frequenciesOf(
  text: string | undefined,
  what: Calibrated | null,
  rate_Hz: number | null,
): number[] | null {
  if (text === undefined) return null;
  const typed = text
    .split(',')
    .map((part) => inOption('--frequency', () => parseQuantity(part.trim(), 'Hz') as number));
  const highest_Hz = Math.min(20_000, (rate_Hz ?? Number.POSITIVE_INFINITY) / 2.2);
  const wrong = typed.find((frequency) => frequency < 10 || frequency > highest_Hz);
  if (wrong !== undefined)
    throw new OptionWrong({
      what: `a frequency of ${wrong} Hz cannot be used`,
      mend: `Frequencies lie from 10 Hz to ${Math.floor(highest_Hz)} Hz, ${FREQUENCY_EXAMPLE}`,
    });
  const frequencies = [...new Set(typed)].sort((a, b) => a - b);
  if (frequencies.length > MOST_FREQUENCIES)
    throw new OptionWrong({
      what: `${frequencies.length} frequencies are too many`,
      mend: `Name ${MOST_FREQUENCIES} at most, ${FREQUENCY_EXAMPLE}`,
    });
  if (what === 'response') requireBothSides(frequencies);
  return frequencies;
}

/** A response is relative to 1 kHz, which its points must enclose. @throws OptionWrong */
function requireBothSides(rising_Hz: readonly number[]): void {
  const missing =
    rising_Hz[0]! > REFERENCE_Hz * (1 - CLEAR)
      ? 'below'
      : rising_Hz.at(-1)! < REFERENCE_Hz * (1 + CLEAR)
        ? 'above'
        : null;
  if (missing === null) return;
  throw new OptionWrong({
    what: `a response is relative to 1 kHz, and --frequency names nothing ${missing} it`,
    mend: `Name frequencies on both sides, ${FREQUENCY_EXAMPLE}`,
  });
}

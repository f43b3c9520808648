import { CalibrationBrokenOff } from '../../calibrator/calibration-errors.js';
import type { Meter, MeterQuestion } from '../../calibrator/meter.js';
import { BadQuantity, parseQuantity } from '../../units/parse.js';
import type { Unit } from '../../units/quantity.js';
import type { Operator } from '../terminal/ask.js';
import type { Terminal } from '../terminal/terminal.js';

const UNITS: Readonly<Record<MeterQuestion['kind'], Unit>> = {
  'output-volts': 'V',
  'load-ohms': 'ohm',
  'load-impedance': 'ohm',
  temperature: 'degC',
};
const BARE_NUMBER = /^[+-]?(\d+\.?\d*|\.\d+)(e[+-]?\d+)?$/i;

/** The person at the bench as reader of the meter. A number without unit is in the unit that was asked for. */
export function personMeter(terminal: Terminal, operator: Operator, signal: AbortSignal): Meter {
  const ask = async (text: string): Promise<string> => {
    const answer = await operator.text(text);
    if (signal.aborted) throw new CalibrationBrokenOff();
    return answer;
  };
  return {
    confirm: (text) => operator.confirm({ about: 'calibration', text }),
    async read(question, text) {
      const unit = UNITS[question.kind];
      try {
        return readingFrom(await ask(text), unit);
      } catch (error) {
        if (!(error instanceof BadQuantity)) throw error;
        terminal.err(`! ${error.message} Type it again.`);
        return readingFrom(await ask(text), unit);
      }
    },
  };
}

/** A typed reading, with or without its unit. @param bare the unit of a bare number @throws BadQuantity */
export function readingFrom(text: string, unit: Unit, bare: string = unit): number {
  const plain = text.trim();
  return parseQuantity(BARE_NUMBER.test(plain) ? `${plain} ${bare}` : plain, unit);
}

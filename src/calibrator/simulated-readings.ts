import type { SimulatedMeter } from '../bench/simulated/simulated-meter.js';
import { formatQuantity } from '../units/format.js';
import type { Meter, MeterQuestion } from './meter.js';

/** Instruments of a simulated bench, which knows what they would read. */
type SimulatedInstruments = Pick<SimulatedMeter, 'volts' | 'ohms' | 'impedance' | 'temperature' | 'warm'>;

/** A meter that answers by itself, says what it read, and takes every confirmation for given. */
export function simulatedReadings(instruments: SimulatedInstruments, tell: (text: string) => void): Meter {
  return {
    async read(question) {
      if ('state' in question && question.state === 'hot')
        instruments.warm(question.channel, question.nominal_ohm);
      const [reading, unit] = answer(instruments, question);
      tell(
        `The simulated meter reads ${formatQuantity(reading, unit, { figures: 6 })} (${nameOf(question)}).`,
      );
      return reading;
    },
    async confirm(text) {
      tell(`(done by the simulated bench itself) ${text}`);
      return true;
    },
  };
}

function answer(instruments: SimulatedInstruments, question: MeterQuestion): [number, 'V' | 'ohm' | 'degC'] {
  switch (question.kind) {
    case 'output-volts':
      return [instruments.volts(question.channel), 'V'];
    case 'load-ohms':
      return [instruments.ohms(question.channel, question.nominal_ohm), 'ohm'];
    case 'load-impedance':
      return [instruments.impedance(question.channel, question.nominal_ohm, question.frequency_Hz), 'ohm'];
    case 'temperature':
      return [instruments.temperature(question.channel, question.nominal_ohm), 'degC'];
  }
}

function nameOf(question: MeterQuestion): string {
  switch (question.kind) {
    case 'output-volts':
      return `output of channel ${question.channel}`;
    case 'load-ohms':
      return `load of channel ${question.channel}, ${question.state}`;
    case 'load-impedance':
      return `load of channel ${question.channel} at ${formatQuantity(question.frequency_Hz, 'Hz')}`;
    case 'temperature':
      return `${question.state} load of channel ${question.channel}`;
  }
}

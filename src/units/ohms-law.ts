import { type Amps, amps, type Ohms, type Volts, volts, type Watts } from './quantity.js';

/** Ohm's and Joule's law for a resistive load. All voltages and currents rms unless the name says peak. */

/** V = sqrt(P R). */
export const voltageFor = (power: Watts, load: Ohms): Volts => volts(Math.sqrt(power * load));

/** I = sqrt(P/R). */
export const currentFor = (power: Watts, load: Ohms): Amps => amps(Math.sqrt(power / load));

/** Peak of a sine, in the unit of its rms value. */
export const peakOfSine = <Q extends Volts | Amps>(rms: Q): Q => (rms * Math.SQRT2) as Q;

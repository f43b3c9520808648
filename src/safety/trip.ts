import { formatQuantity } from '../units/format.js';

export type TripKind = 'over-voltage' | 'over-power' | 'dc' | 'converter-rails' | 'output-lost';

/** A reason to ramp down at once. */
export interface Trip {
  readonly kind: TripKind;
  readonly channel: number;
  /** In the unit of its kind: volts peak, watts, volts, share of full scale, volts rms. */
  readonly measured: number;
  readonly limit: number;
  readonly text: string;
}

const WORDS: Readonly<Record<TripKind, (measured: number, limit: number) => string>> = {
  'over-voltage': (measured, limit) =>
    `${formatQuantity(measured, 'V')} peak at the load, more than the ${formatQuantity(limit, 'V')} that this step allows`,
  'over-power': (measured, limit) =>
    `${formatQuantity(measured, 'W')} in the load, more than the ${formatQuantity(limit, 'W')} that this step allows`,
  dc: (measured, limit) =>
    `${formatQuantity(measured, 'V')} of DC at the load, more than the ${formatQuantity(limit, 'V')} that the bench allows`,
  'converter-rails': () => 'the input converter is at its rails, so the voltage at the load is not known',
  'output-lost': (measured, limit) =>
    `the output fell to ${formatQuantity(measured, 'V')} although the same level gave at least ${formatQuantity(10 * limit, 'V')}: the unit may have protected itself`,
};

export function tripOf(kind: TripKind, channel: number, measured: number, limit: number): Trip {
  return { kind, channel, measured, limit, text: `channel ${channel}: ${WORDS[kind](measured, limit)}` };
}

import { formatDuration, formatQuantity } from '../units/format.js';

/** An output that gives less than this share of what the same level gave is lost. */
export const LOST_SHARE = 0.1;
/** An output that gives more than this many times what the same level gave has run away, long before it passes a limit. */
export const RISEN_TIMES = 4;

export type TripKind =
  | 'over-voltage'
  | 'over-power'
  | 'dc'
  | 'converter-rails'
  | 'output-lost'
  | 'output-risen'
  | 'thdn-runaway'
  | 'load-hot'
  | 'load-energy'
  | 'energy'
  | 'time';

/** A reason to ramp down at once. */
export interface Trip {
  readonly kind: TripKind;
  /** Null when it concerns the whole bench. */
  readonly channel: number | null;
  /** In the unit of its kind: volts peak, watts, volts, share of full scale, volts rms, percent, joules, seconds. */
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
  'converter-rails': () => 'the input converter clips, so the voltage at the load is not known',
  'output-lost': (measured, limit) =>
    `the output fell to ${formatQuantity(measured, 'V')}, although the same level gave at least ${formatQuantity(limit / LOST_SHARE, 'V')} before: the protection of the unit may have tripped, or a lead is off`,
  'output-risen': (measured, limit) =>
    `the output rose to ${formatQuantity(measured, 'V')}, although the same level gave at most ${formatQuantity(limit / RISEN_TIMES, 'V')} before: a gain or a connection has changed, or something in the unit has failed`,
  'thdn-runaway': (measured, limit) =>
    `THD+N rose to ${formatQuantity(measured, '%')} at a constant level, above the limit of ${formatQuantity(limit, '%')}: something in the unit has failed, or samples are being lost`,
  'load-hot': (measured, limit) =>
    `the load is estimated to be as hot as ${formatQuantity(measured, 'W')} continuous would make it, more than the ${formatQuantity(limit, 'W')} that its limit allows`,
  'load-energy': (measured, limit) =>
    `the load has taken ${formatQuantity(measured, 'J')}, more than the ${formatQuantity(limit, 'J')} that the plan allows`,
  energy: (measured, limit) =>
    `all loads together have taken ${formatQuantity(measured, 'J')}, more than the ${formatQuantity(limit, 'J')} that this run allows`,
  time: (measured, limit) =>
    `the run has taken ${formatDuration(measured)}, more than the ${formatDuration(limit)} that it may last`,
};

export const TRIP_KINDS = Object.keys(WORDS) as readonly TripKind[];

export function tripOf(kind: TripKind, channel: number | null, measured: number, limit: number): Trip {
  const place = channel === null ? '' : `channel ${channel}: `;
  return { kind, channel, measured, limit, text: `${place}${WORDS[kind](measured, limit)}` };
}

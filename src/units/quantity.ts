declare const unit: unique symbol;

/** The units that ohmest calculates in. `1` is a plain ratio. */
export type Unit =
  | 'V'
  | 'A'
  | 'W'
  | 'ohm'
  | 'Hz'
  | 's'
  | 'J'
  | '%'
  | 'ppm'
  | 'dB'
  | '1'
  | 'degC'
  | 'K'
  | 'H'
  | 'F'
  | 'K/W'
  | 'J/K'
  | '1/K'
  | 'V/us';

/** A number that carries its unit in its type, so that volts cannot be passed for watts. */
export type Quantity<U extends Unit> = number & { readonly [unit]: U };

export type Volts = Quantity<'V'>;
export type Amps = Quantity<'A'>;
export type Watts = Quantity<'W'>;
export type Ohms = Quantity<'ohm'>;
export type Decibels = Quantity<'dB'>;
export type Ratio = Quantity<'1'>;

const brand =
  <U extends Unit>() =>
  (value: number): Quantity<U> =>
    value as Quantity<U>;

export const volts = brand<'V'>();
export const amps = brand<'A'>();
export const watts = brand<'W'>();
export const ohms = brand<'ohm'>();
export const decibels = brand<'dB'>();
export const ratio = brand<'1'>();

/** What a finding is a figure of. Declared here once; store, bundle, CSV, JSON, tables, charts and comparison read it. */
export interface QuantityTraits {
  /** As it heads a table or an axis. */
  readonly name: string;
  readonly unit: 'W' | 'V' | '%' | 'dB' | 'ohm' | 'K' | 's' | '';
  /** What a value of it is: one number, intervals of power, or a list of causes. */
  readonly holds: 'number' | 'intervals' | 'causes';
  /** Significant figures where no uncertainty is stated; with one, the decimals follow it. */
  readonly figures: number;
  /** What is smaller is printed as below this, where no uncertainty is stated: a record shows no less. */
  readonly least?: number;
  readonly better: 'more' | 'less' | 'neither';
  /** Whether a power rating may rest on it; the step's kind must say so, too. */
  readonly rates: boolean;
}

/** What most quantities are: one number that no power rating may rest on. */
const quantity = (
  name: string,
  unit: QuantityTraits['unit'],
  figures: number,
  better: QuantityTraits['better'],
  more: Partial<Pick<QuantityTraits, 'holds' | 'least' | 'rates'>> = {},
): QuantityTraits => ({ name, unit, holds: 'number', figures, better, rates: false, ...more });

export const QUANTITIES = {
  'max-power': quantity('Maximum power', 'W', 3, 'more', { rates: true }),
  'exceeded-below': quantity('Limit exceeded at lower power', 'W', 3, 'less', { holds: 'intervals' }),
  'total-power': quantity('Total power of all driven channels', 'W', 3, 'more'),
  'knee-power': quantity('Knee', 'W', 3, 'more'),
  'plateau-thdn': quantity('THD+N of the plateau', '%', 2, 'less'),
  'clipping-interval': quantity('0.1 to 1 % interval', 'dB', 2, 'neither'),
  power: quantity('Power', 'W', 3, 'more', { rates: true }),
  thdn: quantity('THD+N', '%', 2, 'less'),
  dip: quantity('Dip within a record', 'dB', 2, 'less', { least: 0.01 }),
  dc: quantity('DC', 'V', 2, 'less'),
  'dc-by-meter': quantity('DC by meter', 'V', 3, 'less'),
  noise: quantity('Noise and hum', 'V', 2, 'less'),
  hum: quantity('Hum at multiples of the mains frequency', 'V', 2, 'less'),
  cause: quantity('Why power falls short', '', 0, 'neither', { holds: 'causes' }),
} as const satisfies Readonly<Record<string, QuantityTraits>>;

export type QuantityName = keyof typeof QUANTITIES;

/** The declaration of a quantity by its name; null for a name that this version does not know. */
export function quantityNamed(name: string): QuantityTraits | null {
  return Object.hasOwn(QUANTITIES, name) ? QUANTITIES[name as QuantityName] : null;
}

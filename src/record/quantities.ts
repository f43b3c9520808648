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

export const QUANTITIES = {
  'max-power': { name: 'Maximum power', unit: 'W', holds: 'number', figures: 3, better: 'more', rates: true },
  'exceeded-below': {
    name: 'Limit exceeded at lower power',
    unit: 'W',
    holds: 'intervals',
    figures: 3,
    better: 'less',
    rates: false,
  },
  'total-power': {
    name: 'Total power of all driven channels',
    unit: 'W',
    holds: 'number',
    figures: 3,
    better: 'more',
    rates: false,
  },
  'knee-power': { name: 'Knee', unit: 'W', holds: 'number', figures: 3, better: 'more', rates: false },
  'plateau-thdn': {
    name: 'THD+N of the plateau',
    unit: '%',
    holds: 'number',
    figures: 2,
    better: 'less',
    rates: false,
  },
  'clipping-interval': {
    name: '0.1 to 1 % interval',
    unit: 'dB',
    holds: 'number',
    figures: 2,
    better: 'neither',
    rates: false,
  },
  power: { name: 'Power', unit: 'W', holds: 'number', figures: 3, better: 'more', rates: true },
  thdn: { name: 'THD+N', unit: '%', holds: 'number', figures: 2, better: 'less', rates: false },
  dip: {
    name: 'Dip within a record',
    unit: 'dB',
    holds: 'number',
    figures: 2,
    least: 0.01,
    better: 'less',
    rates: false,
  },
  dc: { name: 'DC', unit: 'V', holds: 'number', figures: 2, better: 'less', rates: false },
  'dc-by-meter': {
    name: 'DC by meter',
    unit: 'V',
    holds: 'number',
    figures: 3,
    better: 'less',
    rates: false,
  },
  noise: { name: 'Noise and hum', unit: 'V', holds: 'number', figures: 2, better: 'less', rates: false },
  hum: {
    name: 'Hum at multiples of the mains frequency',
    unit: 'V',
    holds: 'number',
    figures: 2,
    better: 'less',
    rates: false,
  },
  cause: {
    name: 'Why power falls short',
    unit: '',
    holds: 'causes',
    figures: 0,
    better: 'neither',
    rates: false,
  },
} as const satisfies Readonly<Record<string, QuantityTraits>>;

export type QuantityName = keyof typeof QUANTITIES;

/** The declaration of a quantity by its name; null for a name that this version does not know. */
export function quantityNamed(name: string): QuantityTraits | null {
  return Object.hasOwn(QUANTITIES, name) ? QUANTITIES[name as QuantityName] : null;
}

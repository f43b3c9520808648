import type { Unit } from './quantity.js';

/** How one unit is spelt, named and printed. */
export interface UnitRule {
  /** The quantity with its article, as in "expected a power". */
  readonly noun: string;
  /** Two values that would be right, as in "such as 50 mW or 100 W". */
  readonly example: string;
  /** Every accepted spelling, with what one of it is worth in the unit. */
  readonly spellings: ReadonlyMap<string, number>;
  /** Spellings used for printing, from the smallest to the largest. */
  readonly printed: readonly { readonly symbol: string; readonly factor: number }[];
  /** Significant figures in print; a value of 100 and more gets one more. */
  readonly figures: number;
  /** Whether zeros at the end are left out: `1 kHz`, not `1.000 kHz`. */
  readonly trim: boolean;
}

const PREFIX = { p: 1e-12, n: 1e-9, u: 1e-6, m: 1e-3, '': 1, k: 1e3, M: 1e6 } as const;
type Prefix = keyof typeof PREFIX;

interface Sketch {
  readonly noun: string;
  readonly example: string;
  /** Symbols that take the prefixes; the first is printed. */
  readonly symbols: readonly string[];
  readonly prefixes?: readonly Prefix[];
  /** Further spellings without prefix. */
  readonly others?: Readonly<Record<string, number>>;
  readonly figures?: number;
  readonly trim?: boolean;
}

function rule(sketch: Sketch): UnitRule {
  const prefixes = sketch.prefixes ?? [''];
  const spellings = new Map<string, number>();
  for (const symbol of sketch.symbols) {
    for (const prefix of prefixes) spellings.set(prefix + symbol, PREFIX[prefix]);
  }
  for (const [spelling, factor] of Object.entries(sketch.others ?? {})) spellings.set(spelling, factor);
  return {
    noun: sketch.noun,
    example: sketch.example,
    spellings,
    printed: prefixes.map((prefix) => ({ symbol: prefix + sketch.symbols[0], factor: PREFIX[prefix] })),
    figures: sketch.figures ?? 3,
    trim: sketch.trim ?? true,
  };
}

/**
 * The one place where units are listed. Prefixes are given unit by unit, so that a slip such as
 * `100 MW` is refused rather than believed. Micro is written `u` here; `µ` is turned into it on reading.
 */
export const UNIT_RULES: Readonly<Record<Unit, UnitRule>> = {
  V: rule({
    noun: 'a voltage',
    example: '2.83 V or 500 mV',
    symbols: ['V'],
    prefixes: ['n', 'u', 'm', ''],
    trim: false,
  }),
  A: rule({ noun: 'a current', example: '5 A or 100 mA', symbols: ['A'], prefixes: ['u', 'm', ''] }),
  W: rule({
    noun: 'a power',
    example: '50 mW or 100 W',
    symbols: ['W'],
    prefixes: ['n', 'u', 'm', '', 'k'],
    trim: false,
  }),
  ohm: rule({
    noun: 'a resistance',
    example: '8 ohm or 100 mohm',
    symbols: ['ohm', 'Ω', 'ohms'],
    prefixes: ['m', '', 'k', 'M'],
    figures: 4,
  }),
  Hz: rule({
    noun: 'a frequency',
    example: '20 Hz or 1 kHz',
    symbols: ['Hz'],
    prefixes: ['', 'k', 'M'],
    figures: 4,
  }),
  s: rule({
    noun: 'a time',
    example: '30 s or 5 min',
    symbols: ['s'],
    prefixes: ['n', 'u', 'm', ''],
    others: { min: 60, h: 3600, d: 86_400 },
  }),
  J: rule({
    noun: 'an energy',
    example: '500 kJ or 2 kWh',
    symbols: ['J'],
    prefixes: ['', 'k', 'M'],
    others: { Wh: 3600, kWh: 3.6e6 },
  }),
  '%': rule({ noun: 'a percentage', example: '0.1 % or 1 %', symbols: ['%'], others: { ppm: 1e-4 } }),
  ppm: rule({
    noun: 'a share in parts per million',
    example: '50 ppm or 0.005 %',
    symbols: ['ppm'],
    others: { '%': 1e4 },
  }),
  dB: rule({ noun: 'a number of decibels', example: '-3 dB or 26 dB', symbols: ['dB'] }),
  '1': rule({
    noun: 'a plain ratio',
    example: '1/8 or 0.125',
    symbols: [''],
    others: { '%': 0.01, ppm: 1e-6 },
    figures: 4,
  }),
  degC: rule({ noun: 'a temperature', example: '25 °C', symbols: ['degC', '°C'] }),
  K: rule({
    noun: 'a temperature difference',
    example: '10 K or 0.5 K',
    symbols: ['K'],
    prefixes: ['m', ''],
  }),
  H: rule({
    noun: 'an inductance',
    example: '22 uH or 1 mH',
    symbols: ['H'],
    prefixes: ['n', 'u', 'm', ''],
  }),
  F: rule({
    noun: 'a capacitance',
    example: '0.68 uF or 10 mF',
    symbols: ['F'],
    prefixes: ['p', 'n', 'u', 'm', ''],
  }),
  'K/W': rule({ noun: 'a thermal resistance', example: '0.3 K/W or 2 K/W', symbols: ['K/W'] }),
  'J/K': rule({
    noun: 'a heat capacity',
    example: '500 J/K or 1.2 kJ/K',
    symbols: ['J/K'],
    prefixes: ['', 'k'],
  }),
  '1/K': rule({
    noun: 'a temperature coefficient',
    example: '50 ppm/K or 0.4 %/K',
    symbols: ['1/K'],
    others: { 'ppm/K': 1e-6, '%/K': 0.01 },
  }),
  'V/us': rule({ noun: 'a slew rate', example: '20 V/us or 5 V/us', symbols: ['V/us'] }),
};

import type { Reading } from './run-record.js';

/** One quantity of a reading that is another than it was. */
export interface ReadingChange {
  readonly point: number;
  readonly channel: number;
  readonly frequency_Hz: number;
  readonly quantity: string;
  readonly before: number | string | null;
  readonly after: number | string | null;
  /** Share of the larger of both; null where there is none: words, or a figure that came or went. */
  readonly relative: number | null;
}

/** What rounding alone can do to a figure that is computed twice, generously. */
export const ROUNDING = 1e-9;

/** Figures of a reading; those that are equal by their making (frequency, nominal load) are left out. */
const FIGURES = [
  'power_W',
  'uncertainty_W',
  'voltage_V',
  'voltage_uncertainty_V',
  'load_measured_ohm',
  'fundamental_V',
  'noise_V',
  'dc_V',
  'peak_V',
  'crest_factor',
  'thd_percent',
  'thdr_percent',
  'thdn_percent',
  'thdn_uncertainty_percent',
  'sinad_dB',
  'gain_dB',
  'harmonics_in_band',
] as const satisfies readonly (keyof Reading)[];

/** Every quantity in which a reading differs from what it was, however little; harmonics one by one. */
export function readingChanges(before: Reading, after: Reading): ReadingChange[] {
  const { point, channel, frequency_Hz } = before;
  const place = { point, channel, frequency_Hz };
  const pairs: [quantity: string, before: number | null, after: number | null][] = [
    ...FIGURES.map(
      (figure) => [figure, before[figure], after[figure]] as [string, number | null, number | null],
    ),
    ...harmonicPairs(before, after),
  ];
  const words: [quantity: string, before: string, after: string][] = [
    ['method', before.method, after.method],
    ['flags', flagsOf(before), flagsOf(after)],
    ['gaps', String(before.gaps.length), String(after.gaps.length)],
    ['band_Hz', before.band_Hz.join(' to '), after.band_Hz.join(' to ')],
  ];
  return [
    ...pairs
      .filter(([, a, b]) => !Object.is(a, b) && a !== b)
      .map(([quantity, a, b]) => ({ ...place, quantity, before: a, after: b, relative: relativeOf(a, b) })),
    ...words
      .filter(([, a, b]) => a !== b)
      .map(([quantity, a, b]) => ({ ...place, quantity, before: a, after: b, relative: null })),
  ];
}

/** Whether a change is more than rounding. */
export const isReal = ({ relative }: ReadingChange): boolean => relative === null || relative > ROUNDING;

function harmonicPairs(before: Reading, after: Reading): [string, number | null, number | null][] {
  const rms = ({ harmonics }: Reading) => new Map(harmonics.map((one) => [one.order, one.rms]));
  const [old, young] = [rms(before), rms(after)];
  const orders = [...new Set([...old.keys(), ...young.keys()])];
  return orders.map((order) => [`harmonic ${order}, V`, old.get(order) ?? null, young.get(order) ?? null]);
}

function relativeOf(before: number | null, after: number | null): number | null {
  if (before === null || after === null || !Number.isFinite(before) || !Number.isFinite(after)) return null;
  return Math.abs(after - before) / Math.max(Math.abs(before), Math.abs(after));
}

/** In an order of its own: which flag was raised first says nothing. */
const flagsOf = ({ flags }: Reading): string => [...flags].sort().join(', ') || 'none';

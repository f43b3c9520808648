import type { Unit } from './quantity.js';
import { UNIT_RULES } from './unit-rules.js';

export interface FormatOptions {
  /** Significant figures, instead of those usual for the unit. */
  readonly figures?: number;
  /** Whether zeros at the end are left out, instead of what is usual for the unit. */
  readonly trim?: boolean;
}

/** No bench but a computed one sees less: spelt out, it would be a dozen zeros. */
const LEAST: Partial<Record<Unit, { readonly value: number; readonly text: string }>> = {
  '%': { value: 1e-5, text: 'below 0.00001 %' },
  V: { value: 1e-9, text: 'below 1 nV' },
};

/** Rounds to significant figures, never into exponent notation, never losing whole digits. */
function digits(value: number, figures: number, trim: boolean): string {
  const magnitude = value === 0 ? 0 : Math.floor(Math.log10(Math.abs(Number(value.toPrecision(figures)))));
  const text = value.toFixed(Math.min(100, Math.max(0, figures - 1 - magnitude)));
  return trim && text.includes('.') ? text.replace(/\.?0+$/, '') : text;
}

function figuresFor(unit: Unit, scaled: number): number {
  const { figures } = UNIT_RULES[unit];
  // Distortion is read to two figures below 1 %: the third is noise on any bench.
  if (unit === '%' && scaled < 1) return 2;
  return scaled >= 99.95 && figures < 4 ? figures + 1 : figures;
}

/**
 * Prints a value the way the trade writes it: `104.8 W`, `50.0 mW`, `0.0031 %`, `19.78 Hz`, `1 kHz`.
 *
 * @param value in the base unit of `unit`. A value that is not finite prints as `-`, a share below 0.00001 % and volts below 1 nV as such.
 */
export function formatQuantity(value: number, unit: Unit, options: FormatOptions = {}): string {
  if (!Number.isFinite(value)) return '-';
  const { printed, trim } = UNIT_RULES[unit];
  const size = Math.abs(value);
  const least = LEAST[unit];
  if (least && options.figures === undefined && size > 0 && size < least.value) return least.text;
  const first =
    printed.findLast((candidate) => size >= candidate.factor * (1 - 1e-9)) ?? smallest(unit, size);
  const rounded = Number(
    (size / first.factor).toPrecision(options.figures ?? figuresFor(unit, size / first.factor)),
  );
  // 999.97 mW rounds to 1.00 W: the rounded value decides which prefix it gets.
  const last =
    printed.findLast((candidate) => rounded * first.factor >= candidate.factor * (1 - 1e-9)) ?? first;
  const scaled = value / last.factor;
  const figures = options.figures ?? figuresFor(unit, Math.abs(scaled));
  const number = digits(scaled, figures, options.trim ?? trim);
  return last.symbol === '' ? number : `${number} ${last.symbol}`;
}

/** Zero is printed without a prefix; anything below the smallest prefix with that one. */
function smallest(unit: Unit, size: number): { readonly symbol: string; readonly factor: number } {
  const { printed } = UNIT_RULES[unit];
  const bare = printed.find((candidate) => candidate.factor === 1);
  return (size === 0 ? bare : printed[0]) ?? printed[0]!;
}

/** Prints a stretch of time in at most two parts: `45 s`, `4 min 10 s`, `1 h 5 min`. */
export function formatDuration(seconds: number): string {
  if (!Number.isFinite(seconds)) return '-';
  const whole = Math.max(0, Math.round(seconds));
  if (whole < 60) return `${whole} s`;
  const [large, small, part] =
    whole < 3600
      ? [`${Math.floor(whole / 60)} min`, 's', whole % 60]
      : [`${Math.floor(whole / 3600)} h`, 'min', Math.floor((whole % 3600) / 60)];
  return part === 0 ? large : `${large} ${part} ${small}`;
}

/** A unit as people write it: the files write `degC` where no keyboard has the sign. */
export const unitSign = (unit: string): string => (unit === 'degC' ? '°C' : unit);

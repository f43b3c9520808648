/** How a sweep's frequencies are spaced. */
export type Spacing =
  /** Preferred frequencies: `perDecade` steps to the decade, counted from 1 kHz. */
  | { readonly kind: 'preferred'; readonly perDecade: number }
  | { readonly kind: 'octave'; readonly perOctave: number };

/** A band with a spacing, or frequencies one by one. */
export type FrequencyChoice =
  | { readonly kind: 'band'; readonly spacing: Spacing; readonly low_Hz: number; readonly high_Hz: number }
  | { readonly kind: 'list'; readonly frequencies_Hz: readonly number[] };

/**
 * The frequencies of a choice, in hertz.
 *
 * A band gives its two ends exactly, and between them the exact preferred frequencies 1000 x 10^(n/N)
 * (ISO 266, base-10 series; number from memory) or equal parts of octaves up from its lower end. A step that would come closer
 * than half a step to an end is left out, so that 19.95 Hz and 20 Hz are not both played.
 */
export function frequenciesOf(choice: FrequencyChoice): number[] {
  if (choice.kind === 'list') return [...choice.frequencies_Hz];
  const { spacing, low_Hz, high_Hz } = choice;
  const origin_Hz = spacing.kind === 'preferred' ? 1000 : low_Hz;
  const step = spacing.kind === 'preferred' ? Math.LN10 / spacing.perDecade : Math.LN2 / spacing.perOctave;
  const position = (frequency_Hz: number) => Math.log(frequency_Hz / origin_Hz) / step;
  const between: number[] = [];
  const last = position(high_Hz) - 0.5;
  for (let n = Math.ceil(position(low_Hz) + 0.5); n <= last; n += 1)
    between.push(origin_Hz * Math.exp(n * step));
  return [low_Hz, ...between, high_Hz];
}

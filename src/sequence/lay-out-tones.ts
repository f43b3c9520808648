import { usableTop_Hz } from '../measure/default-band.js';
import { type CoherentTone, coherentTone } from '../signal/coherent-tone.js';
import { formatQuantity } from '../units/format.js';
import { type FrequencyChoice, frequenciesOf } from './frequency-list.js';
import type { StepLayout } from './lay-out.js';

/** The audio band: its ends are never approached from inside, or a figure for the whole of it would hold for less. */
const AUDIO_BAND_Hz = [20, 20_000] as const;
/** So that 20 kHz at 44.1 kHz, the very limit, does not fail by the last digit. */
const ROUNDING = 1 + 1e-9;

type Path = readonly PropertyKey[];
type Ends = readonly [low_Hz: number, high_Hz: number];

/** The tone of a step with one frequency; null when it cannot be played (and that was noted). */
export function singleTone(
  at: StepLayout<{ readonly frequency?: number | undefined }>,
  nominal_Hz: number,
): CoherentTone | null {
  const { path } = at.written;
  return toneFor(
    at,
    at.keys.frequency === undefined ? path : [...path, 'frequency'],
    nominal_Hz,
    AUDIO_BAND_Hz,
  );
}

/** The tones of a step's frequencies, in their order; those that cannot be played are noted and left out. */
export function tonesOf(at: StepLayout<{ readonly frequencies: FrequencyChoice }>): CoherentTone[] {
  const choice = at.keys.frequencies;
  if (!choice) return [];
  const frequencies = frequenciesOf(choice);
  const ends: Ends = [Math.min(...frequencies), Math.max(...frequencies)];
  const path = [...at.written.path, 'frequencies'];
  if (choice.kind === 'list') noteTwice(at, path, frequencies);
  const tone = (nominal_Hz: number, i: number) =>
    toneFor(at, choice.kind === 'list' ? [...path, i] : path, nominal_Hz, ends);
  // Of a band that reaches too far, its end is worth a complaint and not every frequency on the way.
  if (choice.kind === 'band' && ends.map(tone).includes(null)) return [];
  return frequencies.map(tone).filter((found) => found !== null);
}

/** A frequency that is listed twice would be a point that is read twice, and drawn as a fold in its curve. */
function noteTwice(at: StepLayout, path: Path, list: readonly number[]): void {
  for (const [i, frequency_Hz] of list.entries())
    if (list.indexOf(frequency_Hz) < i)
      at.complainAt(
        [...path, i],
        `${formatQuantity(frequency_Hz, 'Hz')} is listed twice`,
        'list each frequency once',
      );
}

/** A limit in hertz, printed so that what is printed still lies within it. */
const wholly = (limit_Hz: number) => formatQuantity(Math.floor((limit_Hz * ROUNDING) / 10) * 10, 'Hz');

/**
 * The tone for a frequency, or null when it cannot be played or lies outside the band of the step.
 *
 * @param path where the frequency stands in the file
 * @param ends of a band that it may be one of, which is then met from outside
 */
function toneFor(
  at: StepLayout,
  path: Path,
  nominal_Hz: number,
  [low_Hz, high_Hz]: Ends,
): CoherentTone | null {
  const { rate_Hz } = at.bench;
  const band = at.setting?.base.band;
  const frequency = formatQuantity(nominal_Hz, 'Hz');
  const top_Hz = usableTop_Hz(rate_Hz);
  if (nominal_Hz > top_Hz * ROUNDING)
    return at.complainAt(
      path,
      `${frequency} is ${nominal_Hz < rate_Hz / 2 ? 'too near' : 'not below'} half the sample rate`,
      `at ${formatQuantity(rate_Hz, 'Hz')} stay at or below ${wholly(top_Hz)}, or raise the bench's rate`,
    );
  if (band && (nominal_Hz < band[0] || nominal_Hz > band[1]))
    return at.complainAt(
      path,
      `${frequency} lies outside the measuring band`,
      `the band is ${formatQuantity(band[0], 'Hz')} to ${formatQuantity(band[1], 'Hz')}`,
    );
  const isEnd = low_Hz < high_Hz && (nominal_Hz === low_Hz || nominal_Hz === high_Hz);
  const edge = isEnd ? { edge: nominal_Hz === low_Hz ? ('low' as const) : ('high' as const) } : {};
  return coherentTone({ nominal_Hz, rate_Hz, ...edge });
}

/** `31 frequencies, 20.0 Hz to 20.0 kHz`. */
export function tonesWords(tones: readonly CoherentTone[]): string {
  const [low, high] = [tones[0]!, tones.at(-1)!].map(({ nominal_Hz }) => formatQuantity(nominal_Hz, 'Hz'));
  return `${tones.length} frequencies, ${low} to ${high}`;
}

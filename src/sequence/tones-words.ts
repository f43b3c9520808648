import type { CoherentTone } from '../signal/coherent-tone.js';
import { formatQuantity } from '../units/format.js';

/** `31 frequencies, 20.0 Hz to 20.0 kHz`. */
export function tonesWords(tones: readonly CoherentTone[]): string {
  const [low, high] = [tones[0]!, tones.at(-1)!].map(({ nominal_Hz }) => formatQuantity(nominal_Hz, 'Hz'));
  return `${tones.length} frequencies, ${low} to ${high}`;
}

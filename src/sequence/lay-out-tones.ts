import type { CoherentTone } from '../signal/coherent-tone.js';
import { formatQuantity } from '../units/format.js';
import { type FrequencyChoice, frequenciesOf } from './frequency-list.js';
import { type Layout, type SettledSetting, toneFor } from './lay-out.js';
import type { Placed } from './repeat-cells.js';

/** The tones of a step's frequencies, in their order; those that cannot be played are noted and left out. */
export function tonesOf(
  layout: Layout,
  written: Placed<{ readonly frequencies: FrequencyChoice }>,
  setting: SettledSetting | null,
): CoherentTone[] {
  const choice = written.keys.frequencies;
  if (!choice) return [];
  const frequencies = frequenciesOf(choice);
  const [low, high] = [Math.min(...frequencies), Math.max(...frequencies)];
  const band = setting?.band ?? null;
  const path = [...written.path, 'frequencies'];
  if (choice.kind === 'list') noteTwice(layout, path, frequencies);
  const tone = (nominal_Hz: number, i: number) => {
    const edge =
      low === high ? undefined : nominal_Hz === low ? 'low' : nominal_Hz === high ? 'high' : undefined;
    const at = choice.kind === 'list' ? [...path, i] : path;
    return toneFor(layout, at, edge ? { nominal_Hz, band, edge } : { nominal_Hz, band });
  };
  // Of a band that reaches too far, its end is worth a complaint and not every frequency on the way.
  const ends = choice.kind === 'band' ? [tone(low, 0), tone(high, 0)] : [];
  return ends.includes(null) ? [] : frequencies.map(tone).filter((found) => found !== null);
}

/** A frequency that is listed twice would be a point that is read twice, and drawn as a fold in its curve. */
function noteTwice(
  { sequence, faults }: Layout,
  path: readonly PropertyKey[],
  list: readonly number[],
): void {
  list.forEach((frequency_Hz, i) => {
    if (list.indexOf(frequency_Hz) === i) return;
    const what = `${formatQuantity(frequency_Hz, 'Hz')} is listed twice`;
    faults.push(sequence.document.fault([...path, i], what, 'list each frequency once'));
  });
}

import type { CoherentTone } from '../signal/coherent-tone.js';
import { type Layout, type SettledSetting, toneFor } from './lay-out.js';
import type { Placed } from './repeat-cells.js';

/** The audio band: its ends are never approached from inside, or a figure for the whole of it would hold for less. */
const [LOWEST_Hz, HIGHEST_Hz] = [20, 20_000];

/** The tone of a step with one frequency; null when it cannot be played (and that was noted). */
export function singleTone(
  layout: Layout,
  written: Placed<{ readonly frequency?: number | undefined }>,
  nominal_Hz: number,
  setting: SettledSetting | null,
): CoherentTone | null {
  const path = written.keys.frequency === undefined ? written.path : [...written.path, 'frequency'];
  const edge = nominal_Hz === LOWEST_Hz ? 'low' : nominal_Hz === HIGHEST_Hz ? 'high' : null;
  const band = setting?.band ?? null;
  return toneFor(layout, path, edge ? { nominal_Hz, band, edge } : { nominal_Hz, band });
}

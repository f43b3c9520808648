import type { Band } from './analysis.js';
import { powerAt, powerBetween, type Spectrum, spectraOf, strongestBin } from './fft.js';
import { fitFrequency } from './harmonic-fit.js';
import { binsOf } from './parts.js';

/** A line's bin stands so far above the mean of those around it. */
const STANDS_OUT = 30;
const AROUND = 12;
/** A leak below this part of what lies in the band does not show: 0.5 % of THD+N. */
const SHOWS = 0.01;
/** Lines taken off one after the other. */
const MOST_LINES = 4;

/**
 * The strongest line outside a band that leaks visibly into it, by a record that is cut off without a window: a line of power P
 * that does not fit the record leaves up to P / (2 pi^2 d) beyond a distance of d bins (sum of 1 / (pi k)^2, at worst).
 *
 * @param cycles of the tone, whose harmonics fit the record as it does; null: there is none
 * @returns its bin; null where none leaks
 */
export function leakingLine(
  spectrum: Spectrum,
  [first, last]: readonly [number, number],
  rest: number,
  cycles: number | null,
): number | null {
  const top = spectrum.frames / 2 - 1;
  const sides = [
    [1, first - 2],
    [last + 2, top],
  ] as const;
  for (const [from, to] of sides) {
    if (from > to) continue;
    const bin = strongestBin(spectrum, from, to);
    const distance = Math.min(Math.abs(bin - first), Math.abs(bin - last));
    const power = powerBetween(spectrum, bin - 1, bin + 1);
    const leaks = power / (2 * Math.PI ** 2 * distance) > SHOWS * rest;
    const harmonic = cycles !== null && bin % cycles === 0;
    if (leaks && !harmonic && standsOut(spectrum, bin, top)) return bin;
  }
  return null;
}

function standsOut(spectrum: Spectrum, bin: number, top: number): boolean {
  const [low, high] = [Math.max(1, bin - AROUND), Math.min(top, bin + AROUND)];
  const around = powerBetween(spectrum, low, bin - 3) + powerBetween(spectrum, bin + 3, high);
  const bins = Math.max(1, bin - 2 - low + (high - bin - 2));
  return powerAt(spectrum, bin) > (STANDS_OUT * around) / bins;
}

/** The lines outside a band that leak visibly into it, each fitted to what the last one left; null where there are none. */
export function outsideLines(residue: Float64Array, band: Band, rate_Hz: number): Float64Array | null {
  const frames = 2 ** Math.max(1, Math.ceil(Math.log2(residue.length)));
  const bins = binsOf(band, rate_Hz / frames, frames);
  let left = residue;
  for (let taken = 0; taken < MOST_LINES; taken += 1) {
    const [spectrum] = spectraOf([left], frames);
    const line = leakingLine(spectrum!, bins, powerBetween(spectrum!, ...bins), null);
    if (line === null) break;
    left = fitFrequency(left, line / frames, 1).residue;
  }
  return left === residue ? null : residue.map((sample, n) => sample - left[n]!);
}

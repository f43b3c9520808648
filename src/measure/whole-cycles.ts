import { powerAt, powerBetween, type Spectrum } from './fft.js';

/** Largest share of leakage in the power of the residue (0.05 % of THD+N) before reading bins directly is refused. */
const LEAST_VISIBLE = 1e-3;
/** Noise alone looks like leakage with 1/frames of its power; this many times that is beyond chance. */
const BEYOND_CHANCE = 25;
/** Leakage below this ratio to the tone (-260 dB in power) is rounding. */
const ROUNDING = 1e-26;

/**
 * How far a tone lies from the centre of its bin, in bins, from three rectangular bins. A level that
 * drifts does not bias it: that puts mirror-symmetric power around the tone, and only the
 * antisymmetric part counts here.
 */
export function binOffset(spectrum: Spectrum, bin: number): number {
  const { bins } = spectrum;
  const [below, at, above] = [bin - 1, bin, bin + 1].map((k) => [bins[2 * k]!, bins[2 * k + 1]!] as const);
  const upper = [below![0] - above![0], below![1] - above![1]] as const;
  const lower = [2 * at![0] - below![0] - above![0], 2 * at![1] - below![1] - above![1]] as const;
  const size = lower[0] ** 2 + lower[1] ** 2;
  return size === 0 ? 0 : (upper[0] * lower[0] + upper[1] * lower[1]) / size;
}

/**
 * Whether the record holds a whole number of cycles as far as it matters: the power that a tone off
 * its bin centre leaks, (pi offset)^2 / 3 of its own, must be too small a part of the residue to show.
 */
export function holdsWholeCycles(spectrum: Spectrum, bin: number): boolean {
  const offset = binOffset(spectrum, bin);
  const tone = powerAt(spectrum, bin);
  const leaked = (tone * (Math.PI * offset) ** 2) / 3;
  if (leaked <= ROUNDING * tone) return true;
  const least = leaked / Math.max(LEAST_VISIBLE, BEYOND_CHANCE / spectrum.frames);
  return residueReaches(spectrum, bin, least);
}

/** Bins looked at before asking whether they are enough: in a record of whole cycles, noise and harmonics soon are. */
const STRETCH = 4096;

/** Whether all bins but DC and that of the tone hold this power; goes no further than it takes to tell. */
function residueReaches(spectrum: Spectrum, bin: number, least: number): boolean {
  let residue = 0;
  for (let from = 1; from <= spectrum.frames / 2; from += STRETCH) {
    const to = from + STRETCH - 1;
    residue += powerBetween(spectrum, from, Math.min(to, bin - 1));
    residue += powerBetween(spectrum, Math.max(from, bin + 1), to);
    if (residue >= least) return true;
  }
  return false;
}

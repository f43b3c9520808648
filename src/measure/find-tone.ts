import { powerAt, powerBetween, type Spectrum, strongestBin } from './fft.js';

/** What is known of the tone before looking, all in bins of the spectrum. */
export interface ToneSearch {
  readonly from: number;
  readonly to: number;
  /** Half width of the main lobe that a pure tone has here. */
  readonly halfLobe: number;
  /** False when any tone will do: then it must also hold a fair share of the power. */
  readonly expected: boolean;
}

/** The lobe's mean bin must stand this far above the mean bin around it; in white noise, peaks reach about 15. */
const STANDS_OUT = 50;
/** Least share of all power, DC left out, that an unannounced tone must hold. A sawtooth's fundamental has 0.61. */
const LEAST_SHARE = 0.2;
/** Below this ratio to the sum of everything, DC included, there is only rounding. */
const ROUNDING = 1e-26;

/**
 * The bin of the strongest component in the search range, or null when it does not stand out from
 * what surrounds it (noise, DC, silence).
 */
export function findTone(spectrum: Spectrum, search: ToneSearch): number | null {
  const half = spectrum.frames / 2;
  const from = Math.max(1, search.from);
  const to = Math.min(half - 1, search.to);
  if (from > to) return null;
  const bin = strongestBin(spectrum, from, to);
  // On the flank of something that peaks outside the range.
  if (powerAt(spectrum, bin) < Math.max(powerAt(spectrum, bin - 1), powerAt(spectrum, bin + 1))) return null;
  const lobe = powerBetween(spectrum, bin - search.halfLobe, bin + search.halfLobe);
  const everything = spectrum.meanSquare;
  if (lobe <= ROUNDING * everything) return null;
  if (!search.expected && lobe < LEAST_SHARE * (everything - powerAt(spectrum, 0))) return null;
  return lobe > STANDS_OUT * surroundings(spectrum, bin, search.halfLobe) ? bin : null;
}

/** Power that a lobe would hold if it were like the bins around it. */
function surroundings(spectrum: Spectrum, bin: number, halfLobe: number): number {
  const reach = Math.max(Math.floor(bin / 2), 16 * halfLobe + 16);
  const low = Math.max(1, bin - reach);
  const high = Math.min(spectrum.frames / 2 - 1, bin + reach);
  const inner = 2 * halfLobe + 1;
  const below = powerBetween(spectrum, low, bin - inner);
  const above = powerBetween(spectrum, bin + inner, high);
  const bins = Math.max(0, bin - inner - low + 1) + Math.max(0, high - bin - inner + 1);
  return bins === 0 ? 0 : ((below + above) / bins) * (2 * halfLobe + 1);
}

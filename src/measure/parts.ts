import type { Band, Harmonic } from './analysis.js';
import { reaches } from './default-band.js';
import { HIGHEST_ORDER } from './distortion.js';

/** What a channel is made of, by either method. */
export interface Parts {
  readonly method: 'coherent' | 'fitted';
  readonly cyclesPerSample: number;
  readonly fundamental_rms: number;
  /** Phase at the first frame of the cosine that the fundamental amounts to. */
  readonly phase_rad: number;
  readonly dc: number;
  readonly harmonics: readonly Harmonic[];
  readonly noise_rms: number;
}

/** Orders 2 to 20 of a fundamental whose frequency the band reaches. */
export function ordersInBand(band: Band, fundamental_Hz: number): number[] {
  const orders: number[] = [];
  for (let order = 2; order <= HIGHEST_ORDER && reaches(band, order * fundamental_Hz); order++) {
    orders.push(order);
  }
  return orders;
}

/** First and last bin inside the band, DC left out. */
export function binsOf(band: Band, bin_Hz: number, frames: number): readonly [number, number] {
  const low = Math.max(1, Math.ceil(band[0] / bin_Hz - 1e-9));
  return [low, Math.min(frames / 2, Math.floor(band[1] / bin_Hz + 1e-9))];
}

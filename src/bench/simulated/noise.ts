import { seededRandom } from '../../signal/dither.js';

/** Noise figures are rms in this band. */
const STATED_BAND_HZ = 20_000;
const TABLE_BITS = 13;

/** Standard normal numbers (Box and Muller), scaled to unit variance; drawn from at random. */
function gaussianTable(random: () => number): Float64Array {
  const table = Float64Array.from({ length: 2 ** TABLE_BITS }, () => {
    const radius = Math.sqrt(-2 * Math.log(1 - random()));
    return radius * Math.cos(2 * Math.PI * random());
  });
  const mean = table.reduce((sum, x) => sum + x, 0) / table.length;
  const variance = table.reduce((sum, x) => sum + (x - mean) ** 2, 0) / table.length;
  return table.map((x) => (x - mean) / Math.sqrt(variance));
}

/**
 * White noise. Each sample is drawn from a table of normal numbers by a xorshift generator, several times
 * faster than making each anew; the table is long enough for the crest factor of 20 000 samples.
 */
export class WhiteNoise {
  private readonly table: Float64Array;
  private readonly sigma: number;
  private state: number;

  /**
   * @param rms_V in 20 kHz; the density follows, and with it the rms up to half the rate
   * @param seed any whole number; the same seed gives the same noise
   */
  constructor(rms_V: number, rate_Hz: number, seed: number) {
    const random = seededRandom(seed);
    this.table = gaussianTable(random);
    this.sigma = rms_V * Math.sqrt(rate_Hz / 2 / STATED_BAND_HZ);
    this.state = 1 + Math.floor(random() * 0x7fffffff);
  }

  addTo(samples: Float64Array, frames: number): void {
    const { table, sigma } = this;
    let state = this.state;
    for (let i = 0; i < frames; i += 1) {
      state ^= state << 13;
      state ^= state >>> 17;
      state ^= state << 5;
      samples[i] = samples[i]! + sigma * table[state >>> (32 - TABLE_BITS)]!;
    }
    this.state = state;
  }
}

import { BLACKMAN_HARRIS_7, windowSamples } from '../../measure/window.js';

/** Long enough that the window's main lobe ends below 20 Hz. */
const TRACE_S = 0.4;

/** What a pair of terminals has carried lately. */
export class TerminalTrace {
  private readonly ring: Float64Array;
  private next = 0;

  constructor(rate_Hz: number) {
    this.ring = new Float64Array(Math.ceil(TRACE_S * rate_Hz));
  }

  add(volts: Float64Array, frames: number): void {
    const { ring } = this;
    let next = this.next;
    for (let i = 0; i < frames; i += 1) {
      ring[next] = volts[i]!;
      next = next + 1 === ring.length ? 0 : next + 1;
    }
    this.next = next;
  }

  /** From now on nothing has been there. */
  clear(): void {
    this.ring.fill(0);
  }

  /**
   * True rms without the DC, as a multimeter on AC reads it. Exact within 1e-8 for steady tones from 20 Hz to
   * near half the rate: mean and mean square are weighted by a seven-term window whose side lobes let nothing of
   * the tone and of twice its frequency through, however its cycles fall.
   */
  acRms_V(): number {
    const { ring, next } = this;
    const window = windowSamples(BLACKMAN_HARRIS_7, ring.length);
    let weight = 0;
    let sum = 0;
    let square = 0;
    for (let i = 0; i < ring.length; i += 1) {
      const v = ring[(next + i) % ring.length]!;
      weight += window[i]!;
      sum += window[i]! * v;
      square += window[i]! * v * v;
    }
    return Math.sqrt(Math.max(0, square / weight - (sum / weight) ** 2));
  }
}
